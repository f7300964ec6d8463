//! What a construction answers to a heat source, and what its error and that of a temperature field make of the
//! mean temperature where the source is.
//!
//! Let T be the temperature and G the response to a source f of 1 W/m with all environments at 0. Then the mean
//! m(T) of T over f is a(T, G) up to what the environments' temperatures add, with the energy product a(u, v) = ∫
//! ∇u·K∇v + ∮ u·v/R. On the mesh there are T_h and G_h, the best quadratics, and equilibrated fluxes q_h, p_h
//! for both: p_h is that of `source.rs` and the curl of a stream function, and the best one of these. Let
//!
//! ```text
//! r_T = K∇T_h + q_h  in triangles,    T_h − θ − R·q_n  on films,        ⟨r, s⟩ = ∫ r·K⁻¹s + ∮ r·s/R
//! ```
//!
//! and r_G alike, with θ = R·g where g of the source enters the surface. Since q_h is equilibrated, a(T − T_h, v) =
//! −⟨r_T, v⟩ for every v. By Prager and Synge (Quart. Appl. Math. 5 (1947) 241–269) the exact G lies on a sphere
//! round the middle of both its approximations: K∇(G − G_h) = −½·r_G + ½·ρ with ‖ρ‖ = ‖r_G‖. And a(T − T_h, G_h)
//! is 0, as T_h is the best. So
//!
//! ```text
//! m(T) − m(T_h) = a(T − T_h, G − G_h) = ½⟨r_T, r_G⟩ − ½⟨r_T, ρ⟩
//! |m(T) − m(T_h) − ½⟨r_T, r_G⟩| ≤ ½‖r_T‖·‖r_G‖
//! ```
//!
//! which is a bound, proven like that of L2D. It is far too wide, though: it falls as slowly as if all errors of
//! T reached the place undiminished. If ρ is about as large as r_G in each triangle,
//!
//! ```text
//! |m(T) − m(T_h) − ½⟨r_T, r_G⟩| ≲ ½ Σ over triangles ‖r_T‖·‖r_G‖
//! ```
//!
//! This is an estimate, and says which triangles to split (compare Becker and Rannacher, Acta Numerica 10 (2001)
//! 1–102). Where surfaces fixed at different temperatures meet, ‖r_T‖ is infinite, but the sum is not.

use super::elements::on_edge;
use super::elements::{EDGE_MASS, dot};
use super::source::{Carried, Source};
use super::stream::{film_force, outflow};
use super::system::{Pair, System};

/// By what a temperature and a heat flux differ.
#[derive(Clone, Debug)]
pub(super) struct Gap {
    /// K∇T + q by cell, at its three edge middles, W/m².
    pub(super) flux: Vec<[[f64; 2]; 3]>,
    /// T − θ − R·q_n by edge of the boundary, at its first, last and middle node, K.
    film: Vec<[f64; 3]>,
}

impl System {
    /// Between the temperature and the heat flux of a pair.
    pub(super) fn gap(&self, pair: &Pair) -> Gap {
        let carried = Carried::of(&self.solids.nodes, &Source::default(), |_| 0.0);
        let mut environments = vec![0.0; self.solids.nodes.edges.len()];
        for (environment, edge) in environments.iter_mut().zip(&self.solids.nodes.edges) {
            *environment = edge.film.map_or(0.0, |film| pair.environments()[film.environment]);
        }
        self.gap_between(&pair.temperature.at, &pair.stream, &carried, &environments)
    }

    /// The response to a source, as the gap between its temperature and its flux.
    pub(super) fn response(&self, source: &Source) -> Gap {
        let carried = Carried::of(&self.solids.nodes, source, |cell| self.solids.shapes[cell].area);
        let still = vec![0.0; self.solids.environments];
        let cells = self.solids.nodes.cells.len();
        let mut heat = vec![[0.0; 6]; cells];
        for (cell, amount) in &source.cells {
            (3..6).for_each(|middle| heat[*cell][middle] += amount / 3.0);
        }
        let mut warmer = vec![0.0; self.solids.nodes.edges.len()];
        for (number, amount) in &source.edges {
            let edge = &self.solids.nodes.edges[*number];
            for (place, part) in edge.places().into_iter().zip([1.0, 1.0, 4.0]) {
                heat[edge.cell][place] += part * amount / 6.0;
            }
            warmer[*number] += edge.film.map_or(0.0, |film| film.resistance * amount / edge.length);
        }
        let of_temperature = || {
            let values = &self.temperature.values;
            let residual = |cell: usize, unknowns: &[f64]| {
                let out = self.solids.heat_into_nodes(cell, &values.within(cell, unknowns), &still);
                sum(out, heat[cell])
            };
            let unknowns = self.temperature.solve(residual, cells);
            self.solids.by_node(|cell| values.within(cell, &unknowns))
        };
        let of_stream = || {
            let values = &self.stream.values;
            let force: Vec<[f64; 6]> = (0..cells).map(|cell| self.force(cell, &carried, &warmer)).collect();
            let residual = |cell: usize, unknowns: &[f64]| {
                sum(self.force_on_stream(cell, &values.within(cell, unknowns), &still), force[cell])
            };
            self.stream.solve(residual, cells)
        };
        let (temperature, stream) = rayon::join(of_temperature, of_stream);
        self.gap_between(&temperature, &stream, &carried, &warmer)
    }

    /// What the flux of a source and its films force on the stream function: −∫ p·K⁻¹q_v − ∮ (R·p_n + θ)·v'.
    fn force(&self, cell: usize, carried: &Carried, warmer: &[f64]) -> [f64; 6] {
        let coefficient = self.solids.conductivity[cell].of_stream();
        // The gradient of the stream function that p would have.
        let turned = carried.flux[cell].map(|[x, y]| coefficient.times([-y, x]));
        let mut force = self.solids.shapes[cell].against_gradients(&turned);
        for number in self.solids.nodes.numbers_of(cell) {
            let edge = &self.solids.nodes.edges[number];
            let Some(film) = edge.film else { continue };
            let on_film = film_force(film.resistance, warmer[number], [carried.out[number]; 2]);
            edge.places().into_iter().zip(on_film).for_each(|(place, part)| force[place] += part);
        }
        force.map(|force| -force)
    }

    fn gap_between(
        &self,
        temperature: &[f64],
        stream: &[f64],
        carried: &Carried,
        environments: &[f64],
    ) -> Gap {
        let mut flux = Vec::with_capacity(self.solids.nodes.cells.len());
        let mut film = vec![[0.0; 3]; self.solids.nodes.edges.len()];
        for (cell, here) in self.solids.nodes.cells.iter().enumerate() {
            let shape = &self.solids.shapes[cell];
            let temperatures = here.nodes.map(|node| temperature[node]);
            let streams = self.stream.values.within(cell, stream);
            let (gradients, turned) = (shape.gradients(&temperatures), shape.gradients(&streams));
            flux.push([0, 1, 2].map(|p| {
                let driven = self.solids.conductivity[cell].times(gradients[p]);
                let own = carried.flux[cell][p];
                [driven[0] + turned[p][1] + own[0], driven[1] - turned[p][0] + own[1]]
            }));
            for number in self.solids.nodes.numbers_of(cell) {
                let edge = &self.solids.nodes.edges[number];
                let Some(here) = edge.film.filter(|film| film.resistance > 0.0) else { continue };
                let places = edge.places();
                let [begins, ends] = outflow(edge.length, places.map(|place| streams[place]))
                    .map(|outflow| outflow + carried.out[number]);
                let out = [begins, ends, f64::midpoint(begins, ends)];
                film[number] = [0, 1, 2]
                    .map(|at| temperatures[places[at]] - environments[number] - here.resistance * out[at]);
            }
        }
        Gap { flux, film }
    }

    /// ⟨r, s⟩ by triangle of the mesh.
    pub(super) fn product(&self, one: &Gap, other: &Gap) -> Vec<f64> {
        let mut by_triangle = vec![0.0; self.solids.nodes.cell_of.len()];
        for (cell, here) in self.solids.nodes.cells.iter().enumerate() {
            let conductivity = &self.solids.conductivity[cell];
            let both = one.flux[cell].iter().zip(&other.flux[cell]);
            let within: f64 = both.map(|(r, s)| dot(*r, conductivity.inverse_times(*s))).sum();
            let mut sum = self.solids.shapes[cell].area / 3.0 * within;
            for number in self.solids.nodes.numbers_of(cell) {
                let edge = &self.solids.nodes.edges[number];
                let Some(film) = edge.film.filter(|film| film.resistance > 0.0) else { continue };
                let against = on_edge(&EDGE_MASS, other.film[number]);
                let on_film: f64 = one.film[number].iter().zip(against).map(|(r, s)| r * s).sum();
                sum += edge.length / film.resistance * on_film;
            }
            by_triangle[here.triangle] = sum;
        }
        by_triangle
    }
}

fn sum(one: [f64; 6], other: [f64; 6]) -> [f64; 6] {
    [0, 1, 2, 3, 4, 5].map(|value| one[value] + other[value])
}

#[cfg(test)]
mod tests {
    use super::super::system::tests::wall;
    use super::*;

    /// Sources on every seventh cell and every fifth film, and the same on the mesh cut in four.
    fn sources(coarse: &System, fine: &System) -> Vec<[Source; 2]> {
        let mut sources = Vec::new();
        for cell in (0..coarse.solids.nodes.cells.len()).step_by(7) {
            let triangle = coarse.solids.nodes.cells[cell].triangle;
            let parts = (0..4).map(|part| (fine.solids.nodes.cell_of[4 * triangle + part].unwrap(), 0.25));
            let one = |cells| Source { cells, edges: Vec::new() };
            sources.push([one(vec![(cell, 1.0)]), one(parts.collect())]);
        }
        let films = coarse.solids.nodes.edges.iter().enumerate().filter(|(_, edge)| edge.film.is_some());
        for (number, edge) in films.step_by(5) {
            let triangle = coarse.solids.nodes.cells[edge.cell].triangle;
            let halves = [1, 2].map(|turn| {
                let cell = fine.solids.nodes.cell_of[4 * triangle + (edge.opposite + turn) % 3].unwrap();
                let same = |number: &usize| fine.solids.nodes.edges[*number].opposite == edge.opposite;
                (fine.solids.nodes.numbers_of(cell).find(same).unwrap(), 0.5)
            });
            let one = |edges| Source { cells: Vec::new(), edges };
            sources.push([one(vec![(number, 1.0)]), one(halves.to_vec())]);
        }
        sources
    }

    /// The mean temperature where a source is.
    fn mean(system: &System, pair: &Pair, source: &Source) -> f64 {
        let in_cell = |(cell, part): &(usize, f64)| {
            let values = system.solids.within(&pair.temperature, *cell);
            part * (values[3] + values[4] + values[5]) / 3.0
        };
        let on_edge = |(number, part): &(usize, f64)| {
            let edge = &system.solids.nodes.edges[*number];
            let [first, last, middle] =
                edge.places().map(|place| system.solids.within(&pair.temperature, edge.cell)[place]);
            part * (first + last + 4.0 * middle) / 6.0
        };
        source.cells.iter().map(in_cell).chain(source.edges.iter().map(on_edge)).sum()
    }

    fn norm(system: &System, gap: &Gap) -> f64 {
        system.product(gap, gap).iter().sum::<f64>().sqrt()
    }

    /// That of −⟨r_G, v⟩ = a(G − G_h, v), which is nothing for every v on the mesh, if p_h carries the source away.
    #[test]
    fn fluxes_of_responses_carry_the_source() {
        let (mesh, conductivities, films) = wall();
        let system = System::of(&mesh, &conductivities, &films, 2).unwrap();
        let fine = System::of(&mesh.quarter(), &conductivities, &films, 2).unwrap();
        let none = Carried::of(&system.solids.nodes, &Source::default(), |_| 0.0);
        let still = vec![0.0; system.solids.nodes.edges.len()];
        let flat = vec![0.0; system.stream.values.unknowns];
        for [source, _] in sources(&system, &fine) {
            let response = system.response(&source);
            for turn in 0..5 {
                let any: Vec<f64> = (0..system.solids.nodes.count)
                    .map(|node| ((node * 37 + turn) % 11) as f64 - 5.0)
                    .collect();
                let any = system.gap_between(&any, &flat, &none, &still);
                let product: f64 = system.product(&response, &any).iter().sum();
                let size = norm(&system, &response) * norm(&system, &any);
                assert!(product.abs() < 1e-9 * size, "{source:?}: {product} of {size}");
            }
        }
    }

    #[test]
    fn means_keep_within_their_bounds_when_the_mesh_is_refined() {
        let (mut mesh, conductivities, films) = wall();
        let mut mended_most = 0;
        let mut count = 0;
        for _ in 0..2 {
            let finer = mesh.quarter();
            let [coarse, fine] =
                [&mesh, &finer].map(|mesh| System::of(mesh, &conductivities, &films, 2).unwrap());
            let pairs = [&coarse, &fine].map(|system| system.solve(&[20.0, 0.0]));
            let gaps = [coarse.gap(&pairs[0]), fine.gap(&pairs[1])];
            for both in sources(&coarse, &fine) {
                let of = |number: usize| {
                    let system = [&coarse, &fine][number];
                    let response = system.response(&both[number]);
                    let mended = 0.5 * system.product(&gaps[number], &response).iter().sum::<f64>();
                    let bound = 0.5 * norm(system, &gaps[number]) * norm(system, &response);
                    (mean(system, &pairs[number], &both[number]), mended, bound)
                };
                let ((coarse, mended, bound), (fine, finer_mended, finer_bound)) = (of(0), of(1));
                let off = (coarse + mended - fine - finer_mended).abs();
                assert!(off <= bound + finer_bound + 1e-9, "{both:?}: {off} {bound} {finer_bound}");
                assert!(finer_bound <= bound + 1e-9);
                count += 1;
                mended_most += usize::from(off < 0.5 * (coarse - fine - finer_mended).abs() + 1e-9);
            }
            mesh = finer;
        }
        assert!(4 * mended_most > 3 * count, "{mended_most} of {count}");
    }
}
