//! Surfaces: where a solid meets an environment, and with which resistance.
//!
//! For heat loss the resistances are those of ISO 6946:2017, Table 7, by the direction of heat flow: internal
//! 0.13 m²K/W for horizontal flow, 0.10 upwards, 0.17 downwards; external 0.04. For condensation they are
//! those of ISO 13788:2012: internal 0.25 unless the case says otherwise, 0.13 on the materials judged apart
//! (frames and glazing); where the case states a higher one for the surface, as behind furniture, that one.
//!
//! In a horizontal section all surfaces are upright. In a vertical one, the direction of heat flow through a
//! level surface is that of its [run](super::level).

use std::collections::HashSet;

use super::joining::JOINED;
use super::level::is_upright;
use super::{Drawn, Edge, EdgeId, Plan};
use crate::finding::Diagnostic;
use crate::geometry::Axis;
use crate::model::{Area, Cut, EnvironmentId, MaterialId, Model, Role, Ruled, SurfaceRule};
use crate::polygons::plane::is_within;
use crate::standard::{CONDENSATION_ON_FRAMES, EXTERNAL_RESISTANCE, HeatFlow};

/// What the surface resistances are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Heat loss: L2D, U and ψ.
    HeatLoss,
    /// Mould growth and surface condensation: f_Rsi.
    Condensation,
}

/// A face between a solid and an environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Index of the environment.
    pub environment: EnvironmentId,
    /// Index of the solid's material.
    pub material: MaterialId,
    /// m²K/W; 0 fixes the surface temperature.
    pub resistance: f64,
}

/// The films of all surfaces of a plan.
#[derive(Clone, Debug, Default)]
pub struct Surfaces {
    /// Of a raster: its columns of cells, and by face.
    columns: usize,
    upright: Vec<Option<Film>>,
    level: Vec<Option<Film>>,
    /// By edge, of a plan that is none.
    edges: Vec<Option<Film>>,
}

impl Surfaces {
    /// Finds the films of a plan and their resistances for a purpose.
    pub fn of(model: &Model, plan: &Plan, purpose: Purpose) -> Self {
        let mut surfaces = Self::default();
        match &plan.drawn {
            Drawn::Raster(raster) => {
                surfaces.columns = raster.columns();
                surfaces.upright = vec![None; (raster.columns() + 1) * raster.rows()];
                surfaces.level = vec![None; raster.columns() * (raster.rows() + 1)];
            }
            Drawn::Edges(edges) => surfaces.edges = vec![None; edges.arrangement.segments.len()],
        }
        for edge in plan.edges() {
            let film = film(model, plan, purpose, &edge);
            if let Some(slot) = surfaces.slot(edge.id) {
                *slot = film;
            }
        }
        surfaces
    }

    fn slot(&mut self, id: EdgeId) -> Option<&mut Option<Film>> {
        match id {
            EdgeId::Upright(i, j) => self.upright.get_mut(j * (self.columns + 1) + i),
            EdgeId::Level(i, j) => self.level.get_mut(j * self.columns + i),
            EdgeId::Edge(number) => self.edges.get_mut(number),
        }
    }

    /// The films of all surfaces.
    pub fn all(&self) -> impl Iterator<Item = Film> {
        self.upright.iter().chain(&self.level).chain(&self.edges).flatten().copied()
    }

    /// How many environments films lead to, with those of runs that have one of their own: at least `own`.
    pub fn environments(&self, own: usize) -> usize {
        self.all().map(|film| film.environment.index() + 1).fold(own, usize::max)
    }

    /// The resistances of all surfaces of an environment, each once, in rising order, m²K/W.
    pub fn resistances(&self, environment: EnvironmentId) -> Vec<f64> {
        let films = self.all().filter(|film| film.environment == environment);
        let mut values: Vec<f64> = films.map(|film| film.resistance).collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        values
    }

    /// The same with an environment of its own, numbered from `first`, for each of the plan's runs of level
    /// surface named; faces of fixed temperature stay with theirs.
    #[must_use]
    pub fn parted(&self, plan: &Plan, runs: &[usize], first: usize) -> Self {
        let mut parted = self.clone();
        for (number, run) in runs.iter().enumerate() {
            for id in plan.level.edges(*run) {
                if let Some(Some(film)) = parted.slot(id)
                    && film.resistance > 0.0
                {
                    film.environment = EnvironmentId::new(first + number);
                }
            }
        }
        parted
    }

    /// The film of a piece of edge, if a solid meets an environment there.
    pub fn at(&self, id: EdgeId) -> Option<Film> {
        match id {
            EdgeId::Upright(i, j) => self.upright.get(j * (self.columns + 1) + i),
            EdgeId::Level(i, j) => self.level.get(j * self.columns + i),
            EdgeId::Edge(number) => self.edges.get(number),
        }
        .copied()
        .flatten()
    }

    /// The film of the face (i, j) of a raster with normal along `normal`.
    pub fn film(&self, normal: Axis, i: usize, j: usize) -> Option<Film> {
        self.at(EdgeId::face(normal, i, j))
    }

    /// The films of a plan with slopes, by edge.
    pub fn by_edge(&self) -> &[Option<Film>] {
        &self.edges
    }
}

fn film(model: &Model, plan: &Plan, purpose: Purpose, edge: &Edge) -> Option<Film> {
    let (material, environment) = edge.left.meeting(edge.right)?;
    let rule = rule(model, edge, environment, material).map(|rule| rule.ruled);
    let resistance = match (purpose, &model.condensation, model.environments[environment].role) {
        // A fixed surface temperature stays fixed.
        (Purpose::Condensation, Some(condensation), Role::Internal)
            if rule != Some(Ruled::Resistance(0.0)) =>
        {
            let own = if condensation.exclude.contains(&material) {
                CONDENSATION_ON_FRAMES
            } else {
                condensation.resistance
            };
            match rule {
                // What furniture or curtains hinder stays hindered.
                Some(Ruled::Resistance(stated)) => stated.max(own),
                Some(Ruled::HeatFlow(_)) | None => own,
            }
        }
        _ => match rule {
            Some(Ruled::Resistance(resistance)) => resistance,
            // The run of a level surface knows what the case states of its direction.
            Some(Ruled::HeatFlow(_)) | None => match model.environments[environment].role {
                Role::External => EXTERNAL_RESISTANCE,
                Role::Internal | Role::Unheated => heat_flow(plan, edge.id).internal_resistance(),
            },
        },
    };
    Some(Film { environment, material, resistance })
}

/// Warnings of stated resistances that are none of any surface: nothing is there, or later rules hold.
pub fn unused_rules(model: &Model, plan: &Plan) -> Vec<Diagnostic> {
    let rule_at = |edge: &Edge| {
        let (material, environment) = edge.left.meeting(edge.right)?;
        rule(model, edge, environment, material).map(std::ptr::from_ref)
    };
    let used: HashSet<*const SurfaceRule> = plan.edges().iter().filter_map(rule_at).collect();
    let is_unused = |rule: &&SurfaceRule| {
        // Directions are told elsewhere.
        matches!(rule.ruled, Ruled::Resistance(_)) && !used.contains(&std::ptr::from_ref(*rule))
    };
    let warning = |rule: &SurfaceRule| {
        let hint = "x and y, or points, must reach the surface itself; of several rules that hold for one surface the last counts";
        Diagnostic::warning(rule.place, "this rule holds for no surface").hint(hint)
    };
    model.surfaces.iter().filter(is_unused).map(warning).collect()
}

/// The direction of heat flow through a surface, ISO 6946:2017, Table 7.
fn heat_flow(plan: &Plan, id: EdgeId) -> HeatFlow {
    plan.level.at(id).map_or(HeatFlow::Horizontal, |run| plan.level.runs[run].heat_flow)
}

/// The last rule that holds for a piece of surface. A direction can be stated of level and sloped ones of a
/// vertical section only.
pub(super) fn rule<'c>(
    model: &'c Model,
    edge: &Edge,
    environment: EnvironmentId,
    material: MaterialId,
) -> Option<&'c SurfaceRule> {
    let [x, y] = edge.middle();
    let has_direction = !is_upright(edge.ends) && model.cut == Cut::Vertical;
    model.surfaces.iter().rev().find(|rule| {
        rule.environment.is_none_or(|index| index == environment)
            && rule.materials.as_ref().is_none_or(|known| known.contains(&material))
            && reaches(&rule.within, [x, y])
            && (has_direction || matches!(rule.ruled, Ruled::Resistance(_)))
    })
}

/// True if a point lies within an area, or so near to its edge that the corners of shapes would be joined to it:
/// nobody writes the corners of a slope to the last digit.
fn reaches(area: &Area, [x, y]: [f64; 2]) -> bool {
    let is_beside = |ring: &Vec<[f64; 2]>| {
        (0..ring.len()).any(|index| is_within(JOINED, [x, y], [ring[index], ring[(index + 1) % ring.len()]]))
    };
    let is_near = || area.polygons().iter().any(|polygon| polygon.rings().any(is_beside));
    area.contains(x, y) || !area.is_level() && is_near()
}
