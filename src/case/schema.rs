//! A JSON Schema (draft 2020-12) of case, build-up and climate files, for editors that complete and check while one types.
//!
//! It is made from the same lists of keys that the reader checks against, so that the two cannot drift apart: a key without a description here
//! is a failed test. What only the reader can know (expressions, names, geometry) it leaves to the reader.

use serde_json::{Map, Value, json};

use super::build_ups::{BRIDGE_KEYS, BUILD_UP_KEYS, FIXING_KEYS, LAYER_KEYS as BUILD_UP_LAYER_KEYS};
use super::climates::{CLIMATE_KEYS, INDOOR_KEYS};
use super::dwellings::{DWELLING_KEYS, ELEMENT_KEYS, JUNCTION_KEYS, REDUCTION_KEYS};
use super::floors::{BASEMENT_KEYS, EDGE_KEYS, FLOOR_KEYS, SUSPENDED_KEYS};
use super::interpret::{CASE_KEYS, CLAIM_KEYS, CONDENSATION_KEYS, ENVIRONMENT_KEYS, SURFACE_KEYS};
use super::materials::{CONVERT_KEYS, MATERIAL_KEYS};
use super::psi::{FLANKING_KEYS, PSI_KEYS};
use super::shapes::{CAVITY_KEYS, FILL_KEYS, LAYER_KEYS, SPACE_KEYS};
use super::windows::WINDOW_KEYS;
use crate::material::conversion::CLASSES;

/// The schema.
pub fn schema() -> Value {
    let mut schema = object(&CASE_KEYS, &["coldseam"], &case_key);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!("coldseam case, build-up or climate file");
    schema
}

/// A table with none but these keys.
fn object(keys: &[&str], required: &[&str], property: &dyn Fn(&str) -> Value) -> Value {
    let properties: Map<String, Value> = keys.iter().map(|key| ((*key).to_owned(), property(key))).collect();
    json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
}

/// A table whose keys are the user's names.
fn named(value: &Value) -> Value {
    json!({ "type": ["object", "null"], "additionalProperties": value })
}

fn described(mut schema: Value, description: &str) -> Value {
    schema["description"] = json!(description);
    schema
}

fn number(description: &str) -> Value {
    json!({ "type": ["number", "string"], "description": format!("{description}; a number or an expression of the parameters") })
}

fn text(description: &str) -> Value {
    json!({ "type": ["string", "number"], "description": description })
}

fn choice(words: &[&str], description: &str) -> Value {
    json!({ "enum": words, "description": description })
}

fn list(items: &Value, description: &str) -> Value {
    json!({ "type": "array", "items": items, "description": description })
}

fn pair(description: &str) -> Value {
    json!({ "type": "array", "items": { "type": ["number", "string"] }, "minItems": 2, "maxItems": 2, "description": description })
}

fn either(schemas: &[Value], description: &str) -> Value {
    json!({ "anyOf": schemas, "description": description })
}

/// What a key that is described nowhere becomes; a test looks for it.
const UNDESCRIBED: &str = "undescribed";

fn undescribed(key: &str) -> Value {
    json!({ UNDESCRIBED: key })
}

fn case_key(key: &str) -> Value {
    match key {
        "coldseam" => json!({ "const": 1, "description": "Version of the format" }),
        "title" => text("One line for headings"),
        "description" => text("What the case is about"),
        "cut" => choice(&["vertical", "horizontal"], "How the drawing lies in space; vertical unless stated"),
        "include" => either(
            &[json!({ "type": "string" }), list(&json!({ "type": "string" }), "Files, from the folder of this one")],
            "Files with parameters, materials and build-ups shared by several cases",
        ),
        "parameters" => described(named(&number("The parameter's value")), "Names for numbers; --set replaces them"),
        "sizes" => described(named(&list(&number("A size"), "Sizes")), "For parameters, the sizes that can be bought"),
        "materials" => {
            described(named(&object(&MATERIAL_KEYS, &["conductivity", "source"], &material_key)), "The case's own materials")
        }
        "build_ups" => {
            described(named(&object(&BUILD_UP_KEYS, &["layers"], &build_up_key)), "Plane elements, from inside to outside")
        }
        "floors" => described(
            named(&object(&FLOOR_KEYS, &["area", "perimeter", "wall_thickness", "ground"], &floor_key)),
            "Floors over the ground (ISO 13370)",
        ),
        "windows" => described(named(&object(&WINDOW_KEYS, &[], &window_key)), "Windows (ISO 10077-1)"),
        "climate" => described(
            object(&CLIMATE_KEYS, &["name", "source", "months"], &climate_key),
            "Monthly means outside, and the air inside",
        ),
        "dwelling" => {
            described(object(&DWELLING_KEYS, &["convention"], &dwelling_key), "Areas and lengths of a dwelling, to be added up")
        }
        "environments" => described(
            named(&object(&ENVIRONMENT_KEYS, &["role", "temperature"], &environment_key)),
            "Air that bounds the construction",
        ),
        "extent" => described(box_of(&[]), "Outside this rectangle there is nothing; its edges are the cut-off planes"),
        "plan" => {
            let shapes = [
                object(&SPACE_KEYS, &["space"], &shape_key),
                object(&FILL_KEYS, &["fill"], &shape_key),
                object(&CAVITY_KEYS, &["cavity"], &shape_key),
                object(&LAYER_KEYS, &["layers", "along", "from"], &shape_key),
            ];
            list(&json!({ "anyOf": shapes }), "Painted in order, later over earlier")
        }
        "surfaces" => {
            let mut rule = object(&SURFACE_KEYS, &[], &surface_key);
            rule["oneOf"] = json!([{ "required": ["resistance"] }, { "required": ["heat_flow"] }]);
            list(&rule, "Exceptions to the standard surface resistances")
        }
        "psi" => {
            let block = object(&PSI_KEYS, &["flanking"], &psi_key);
            either(&[block.clone(), list(&block, "One block for each pair of environments")], "What is subtracted from L2D")
        }
        "condensation" => described(object(&CONDENSATION_KEYS, &[], &condensation_key), "The condensation pass (ISO 13788)"),
        "points" => described(named(&pair("x and y in mm")), "Places whose temperature is wanted"),
        "claims" => described(object(&CLAIM_KEYS, &[], &claim_key), "What a submission states; review compares it"),
        other => undescribed(other),
    }
}

/// `x` and `y` as stretches, and more keys.
fn box_of(required: &[&str]) -> Value {
    object(&["x", "y"], required, &|_| pair("[from, to] in mm"))
}

fn material_key(key: &str) -> Value {
    match key {
        "conductivity" => either(
            &[number("λ"), object(&["x", "y"], &["x", "y"], &|_| number("λ along this axis"))],
            "W/(m·K); {x, y} for a material whose λ depends on direction: axes of the drawing, in a build-up x through the layer",
        ),
        "density" => number("kg/m³"),
        "heat_capacity" => number("J/(kg·K)"),
        "vapour_resistance" => either(&[number("μ"), pair("[dry, wet]")], "Water vapour resistance factor μ"),
        "source" => text("Where λ comes from, so that a reviewer can check it"),
        "label" => text("The name shown to readers"),
        "convert" => {
            let classes: Vec<&str> = CLASSES.iter().map(|class| class.name).collect();
            let key = move |key: &str| match key {
                "class" => choice(&classes, "The kind of material"),
                "temperature" => pair("[declared, design] in °C"),
                "moisture" => pair("[declared, design], m³/m³ or kg/kg by the kind"),
                other => undescribed(other),
            };
            described(object(&CONVERT_KEYS, &["class"], &key), "From a declared to a design value (ISO 10456)")
        }
        other => undescribed(other),
    }
}

fn build_up_key(key: &str) -> Value {
    match key {
        "title" => text("One line for headings"),
        "heat_flow" => choice(&["horizontal", "up", "down"], "Direction of heat flow in winter"),
        "inside" => number("Internal surface resistance, m²K/W; ISO 6946 unless stated"),
        "outside" => number("External surface resistance, m²K/W; 0.04 unless stated"),
        "layers" => {
            let row = json!({ "type": "array", "minItems": 2, "maxItems": 2, "description": "[MATERIAL, THICKNESS in mm]" });
            list(&either(&[row, object(&BUILD_UP_LAYER_KEYS, &[], &build_up_layer_key)], "A layer"), "From inside to outside")
        }
        other => undescribed(other),
    }
}

fn build_up_layer_key(key: &str) -> Value {
    match key {
        "material" => text("The material's name"),
        "air" => number("Thickness of an air layer, mm"),
        "resistance" => number("Thermal resistance, m²K/W, where no material is named"),
        "thickness" => number("mm"),
        "label" => text("The name shown to readers"),
        "air_gaps" => number("Level 0, 1 or 2 of gaps in insulation (ISO 6946)"),
        "emissivity" => either(&[number("One face, the other 0.9"), pair("Both faces")], "Emissivity of an air layer's faces"),
        "openings" => number("Ventilation openings of an air layer, mm² per metre or square metre"),
        "vapour_thickness" => number("Diffusion-equivalent air layer thickness s_d, m"),
        "bridged_by" => {
            let key = |key: &str| match key {
                "material" => text("What interrupts the layer"),
                "fraction" => number("Share of the area, 0 to 1"),
                "width" => number("Width of a bar, mm"),
                "spacing" => number("From centre to centre, mm"),
                "block" => pair("[length, height] of a block, mm"),
                "joint" => either(&[number("Joint, mm"), pair("[bed, perpendicular], mm")], "Joints round the blocks"),
                other => undescribed(other),
            };
            described(
                object(&BRIDGE_KEYS, &["material"], &key),
                "What interrupts the layer: fraction; width and spacing; or block and joint",
            )
        }
        "fixings" => {
            let key = |key: &str| match key {
                "number" => number("Per m²"),
                "conductivity" => number("W/(m·K)"),
                "cross_section" => number("mm²"),
                "length" => number("Length in the layer, mm; all of it unless stated"),
                "point_transmittance" => number("χ of each, W/K, in place of its dimensions"),
                other => undescribed(other),
            };
            described(object(&FIXING_KEYS, &["number"], &key), "Metal parts through the layer")
        }
        "rain" => described(
            object(&["precipitation", "drainage"], &["precipitation", "drainage"], &|_| {
                number("mm/day, and f·x in W·day/(m²·K·mm)")
            }),
            "Rain under inverted-roof insulation",
        ),
        other => undescribed(other),
    }
}

fn floor_key(key: &str) -> Value {
    match key {
        "title" => text("One line for headings"),
        "area" => number("m²"),
        "perimeter" => number("Exposed perimeter, m"),
        "wall_thickness" => number("mm"),
        "ground" => text("The ground's material"),
        "build_up" => text("The floor's build-up"),
        "resistance" => number("Thermal resistance of the floor, m²K/W, in place of a build-up"),
        "edge" => {
            let key = |key: &str| match key {
                "position" => choice(&["lying", "standing"], "How the board lies"),
                "reach" => number("Its width or depth, mm"),
                "material" => text("What it is made of"),
                "thickness" => number("mm"),
                other => undescribed(other),
            };
            described(object(&EDGE_KEYS, &EDGE_KEYS, &key), "Insulation along the edge of a slab")
        }
        "suspended" => {
            let key = |key: &str| match key {
                "height" => number("Height of the floor above the ground, mm"),
                "wall_u_value" => number("U of the walls of the space, W/(m²K)"),
                "openings" => number("m² per metre of perimeter"),
                "wind_speed" => number("m/s at 10 m"),
                "shielding" => number("0.02 sheltered, 0.05 average, 0.10 exposed"),
                "ground_resistance" => number("Resistance on the ground of the space, m²K/W"),
                other => undescribed(other),
            };
            described(object(&SUSPENDED_KEYS, &SUSPENDED_KEYS[..5], &key), "A floor over a ventilated space")
        }
        "basement" => {
            let key = |key: &str| match key {
                "depth" => number("Depth of the floor below the ground, mm"),
                "walls" => text("The walls' build-up"),
                "wall_resistance" => number("Thermal resistance of the walls, m²K/W, in place of a build-up"),
                other => undescribed(other),
            };
            described(object(&BASEMENT_KEYS, &["depth"], &key), "A heated basement")
        }
        other => undescribed(other),
    }
}

fn window_key(key: &str) -> Value {
    let parts = |what: &str| list(&pair(what), "Parts");
    match key {
        "title" => text("One line for headings"),
        "width" | "height" | "frame_width" => number("mm"),
        "frame_u_value" | "glazing_u_value" => number("W/(m²K)"),
        "edge_psi" => number("ψ_g of the glazing's edge, W/(m·K)"),
        "frame" | "glazing" => parts("[area in m², U in W/(m²K)]"),
        "edges" => parts("[length in m, ψ in W/(m·K)]"),
        other => undescribed(other),
    }
}

fn climate_key(key: &str) -> Value {
    match key {
        "name" => text("The place"),
        "source" => text("Where the values come from"),
        "months" => {
            let months = pair("[temperature in °C, relative humidity in %]");
            json!({ "type": "array", "items": months, "minItems": 12, "maxItems": 12, "description": "January to December" })
        }
        "indoor" => {
            let key = |key: &str| match key {
                "temperature" => number("°C"),
                "humidity" => number("Relative humidity in %, all year; the standard's margin of 5 % is added"),
                "class" => number("Humidity class 1 to 4"),
                "production" => number("Moisture, kg/h"),
                "ventilation" => number("Outdoor air, m³/h"),
                other => undescribed(other),
            };
            described(object(&INDOOR_KEYS, &["temperature"], &key), "The air inside")
        }
        other => undescribed(other),
    }
}

const CONVENTIONS: [&str; 3] = ["internal", "external", "overall_internal"];

/// b, or the case whose temperatures give it.
fn reduction() -> Value {
    let key = |key: &str| match key {
        "case" => text("The case whose temperatures give b; a junction's own unless named"),
        "space" => text("Its environment that is not heated; the only one unless named"),
        other => undescribed(other),
    };
    let table = object(&REDUCTION_KEYS, &[], &key);
    described(json!({ "anyOf": [number("0 to 1"), table] }), "Temperature reduction factor b; 1 unless stated")
}

fn dwelling_key(key: &str) -> Value {
    match key {
        "convention" => choice(&CONVENTIONS, "How all lengths and areas are measured"),
        "elements" => {
            let key = |key: &str| match key {
                "element" => text("Its name"),
                "area" => number("m²"),
                "u_value" => number("Stated, W/(m²K)"),
                "build_up" | "floor" | "window" => text("Its name in this file or an included one"),
                "reduction" => reduction(),
                "convention" => choice(&CONVENTIONS, "How the area is measured; it must be as the dwelling is"),
                other => undescribed(other),
            };
            list(&object(&ELEMENT_KEYS, &["element", "area"], &key), "Plane elements")
        }
        "junctions" => {
            let key = |key: &str| match key {
                "junction" => text("Its name"),
                "length" => number("m"),
                "psi" => number("Stated, W/(m·K)"),
                "source" => text("Where a stated ψ is from"),
                "case" => text("The case that ψ is computed from, from the folder of this file"),
                "between" => list(
                    &json!({}),
                    "Where the case states ψ for several pairs: the environments on either side of the one meant",
                ),
                "set" => described(named(&number("The parameter's value")), "Parameters of the case to replace"),
                "match" => {
                    let element = text("An element of the dwelling, or none");
                    described(named(&element), "Which element of the dwelling a flanking element of the case is")
                }
                "reduction" => reduction(),
                "convention" => choice(&CONVENTIONS, "The dimensions ψ was computed for; they must be the dwelling's"),
                other => undescribed(other),
            };
            list(&object(&JUNCTION_KEYS, &["junction", "length"], &key), "Junctions")
        }
        other => undescribed(other),
    }
}

fn environment_key(key: &str) -> Value {
    match key {
        "role" => choice(&["internal", "external", "unheated"], "What kind of space it is"),
        "temperature" => number("°C"),
        "humidity" => number("Relative humidity in %"),
        other => undescribed(other),
    }
}

fn shape_key(key: &str) -> Value {
    match key {
        "space" => text("The environment's name"),
        "fill" => text("The material's name"),
        "cavity" => choice(
            &["frame", "building"],
            "Air by ISO 10077-2 or ISO 6946; what is connected counts, cut at throats up to 2 mm and at bends of long gaps",
        ),
        "x" | "y" => pair("[from, to] in mm"),
        "points" => list(&pair("[x, y] in mm"), "Corners of a polygon with level and upright edges"),
        "emissivity" => either(&[number("One side, the other 0.9"), pair("Both sides")], "Emissivity of the cavity's sides"),
        "slit" => number("Width of the slit to outside, mm"),
        "along" => choice(&["+x", "-x", "+y", "-y"], "The direction in which the layers follow each other"),
        "from" => number("Where they begin, mm"),
        "layers" => {
            let row = json!({ "type": "array", "minItems": 2, "maxItems": 2 });
            let build_up = object(&["build_up"], &["build_up"], &|_| text("The build-up's name"));
            either(&[list(&row, "[MATERIAL, THICKNESS in mm]"), build_up], "Layers, or a build-up")
        }
        other => undescribed(other),
    }
}

fn surface_key(key: &str) -> Value {
    match key {
        "of" => text("Only towards this environment"),
        "on" => text("Only on this material"),
        "x" | "y" => pair("Only within [from, to], mm"),
        "resistance" => number("m²K/W; 0 fixes the surface temperature"),
        "heat_flow" => {
            choice(&["up", "down", "horizontal"], "Direction of heat flow through level surfaces, where the case knows better")
        }
        other => undescribed(other),
    }
}

fn psi_key(key: &str) -> Value {
    match key {
        "between" => list(&json!({}), "The two environments, or lists of them, on either side"),
        "frame" => pair("Width of a window frame [from, to] in mm, over which ψ is spread to give U_f"),
        "symmetry" => {
            let plane = object(&["x", "y"], &[], &|_| json!({}));
            list(&plane, "Edges of the model that are planes of symmetry: { x: 0 }")
        }
        "flanking" => list(&object(&FLANKING_KEYS, &["element"], &flanking_key), "Plane elements whose loss is subtracted"),
        other => undescribed(other),
    }
}

fn flanking_key(key: &str) -> Value {
    match key {
        "element" => text("Its name"),
        "section" => described(object(&["x", "y"], &[], &|_| json!({})), "The plane through the model: { y: -1200 }"),
        "build_up" => text("U of this build-up, with its studs and joints"),
        "u_value" => number("Stated, W/(m²K)"),
        "floor" => {
            let key = |key: &str| match key {
                "method" => choice(&["iso13370", "model"], "How its loss is told"),
                _ => number("mm; that of the wall at the floor's end unless stated"),
            };
            described(object(&["method", "wall_thickness"], &["method"], &key), "A floor on the ground")
        }
        "along" => choice(&["x", "y"], "The axis its surface runs along"),
        "internal" | "external" | "overall_internal" => pair("Its length [from, to] in mm by this convention"),
        other => undescribed(other),
    }
}

fn condensation_key(key: &str) -> Value {
    match key {
        "resistance" => number("Internal surface resistance, m²K/W; 0.25 unless stated"),
        "exclude" => list(&text("A material"), "Materials judged apart, by condensation instead of mould: frames and glazing"),
        "critical" => number("f_Rsi that a code asks for"),
        other => undescribed(other),
    }
}

fn claim_key(key: &str) -> Value {
    match key {
        "psi_internal" | "psi_external" | "psi_overall_internal" | "l2d" => number("W/(m·K)"),
        "f_rsi" => number("The lowest temperature factor"),
        "u_values" => described(named(&number("W/(m²K)")), "U of flanking elements"),
        other => undescribed(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_the_reader_knows_is_described() {
        let text = schema().to_string();
        assert!(!text.contains(UNDESCRIBED), "{}", &text[text.find(UNDESCRIBED).unwrap_or(0)..][..60]);
    }
}
