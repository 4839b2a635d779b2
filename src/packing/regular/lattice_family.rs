//! Families of lattices: rows along one direction, the copy at one turn, and the members worth building.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::{
    lattice::{Lattice, count},
    row_pairs::RowPairs,
};
use crate::packing::{Layout, bodies::inner_fit::InnerFit, bodies::zone_table::ZoneTable};
use crate::{
    geom::{Bounds, Placement, Point, Region},
    watch::Watch,
};

/// How much is tried.
#[derive(Debug, Clone, Copy)]
pub(in crate::packing) struct LatticeEffort {
    /// Turns for a shape that may lie at any.
    pub(in crate::packing) turns: usize,
    /// Contacts of a copy with its half-turned self.
    pub(in crate::packing) contacts: usize,
    /// Shifts of the next row.
    pub(in crate::packing) shifts: usize,
    /// Lattices built in full.
    pub(in crate::packing) kept: usize,
}

/// A lattice that may be the best.
#[derive(Debug)]
pub(super) struct Found {
    /// Copies by arithmetic, where rows are parallel to the bed's edges.
    pub(super) count: Option<usize>,
    /// Area a copy.
    pub(super) area: f64,
    pub(super) lattice: Lattice,
    pub(super) phase: Point,
}

/// All lattices with rows along `phi` of a copy turned by `psi` from them.
#[derive(Debug)]
pub(super) struct Family {
    phi: f64,
    psi: f64,
    slanted: bool,
}

/// Rows parallel to the bed's edges with the copy at many turns, and rows at a slant with the copy at a few.
pub(super) fn families(
    table: &ZoneTable<'_>,
    shape: usize,
    half: bool,
    same: &Region,
    effort: LatticeEffort,
) -> Vec<Family> {
    let mut all = Vec::new();
    for phi in [0.0, FRAC_PI_2] {
        all.extend(turns(table, shape, phi, half, effort).into_iter().map(|psi| Family { phi, psi, slanted: false }));
    }
    // Directions in which a copy touches the next one corner to corner, the shortest steps first.
    let mut steps: Vec<Point> = same.vertices().collect();
    steps.sort_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
    let mut directions: Vec<f64> = Vec::new();
    let corners = steps.iter().map(|d| d.y.atan2(d.x));
    let even = (0..effort.turns / 2).map(|k| PI * k as f64 / (effort.turns / 2).max(1) as f64);
    for t in corners.take(effort.turns).chain(even) {
        let t = t.rem_euclid(PI);
        if !directions.iter().any(|d| (d - t).abs() < 1e-6 || (d - t).abs() > PI - 1e-6) {
            directions.push(t);
        }
    }
    for &v in table.of_shape[shape].iter().take(effort.turns / 6) {
        let theta = table.variants[v].turn_rad;
        for d in &directions {
            let phi = (d + theta).rem_euclid(PI);
            if (phi % FRAC_PI_2).abs() > 1e-6 && (phi % FRAC_PI_2 - FRAC_PI_2).abs() > 1e-6 {
                all.push(Family { phi, psi: theta - phi, slanted: true });
            }
        }
    }
    all
}

impl Family {
    #[expect(clippy::too_many_arguments, reason = "one call, of what the search for lattices has at hand")]
    pub(super) fn members(
        &self,
        table: &ZoneTable<'_>,
        bed: usize,
        shape: usize,
        half: bool,
        [same, flip]: [&Region; 2],
        effort: LatticeEffort,
        watch: &dyn Watch<Layout>,
    ) -> Vec<Found> {
        let Self { phi, psi, slanted } = *self;
        if watch.cancelled() {
            return Vec::new();
        }
        let pairs = RowPairs::new(same, flip, psi);
        let inner_fits = [0.0, PI].map(|t| inner_fit_box(table, bed, shape, psi + phi + t, phi));
        let [Some(a), b] = inner_fits else { return Vec::new() };
        let ranges = [a, b.unwrap_or(a)];
        let effort = if slanted { LatticeEffort { contacts: effort.contacts / 2, ..effort } } else { effort };
        let mut found: Vec<Found> = lattices(&pairs, psi, phi, half, &ranges, slanted, effort, watch)
            .into_iter()
            .map(|lattice| {
                let (n, phase) = if slanted { (0, ranges[0].min) } else { count(&lattice, &ranges) };
                let area = lattice.height * lattice.pitch / lattice.cell.len() as f64;
                Found { count: (!slanted).then_some(n), area, lattice, phase }
            })
            .collect();
        found.sort_by(|x, y| y.count.cmp(&x.count).then(x.area.total_cmp(&y.area)));
        found.truncate(effort.kept);
        found
    }
}

/// Turns of the copy in the frame of rows along `phi`.
fn turns(table: &ZoneTable<'_>, shape: usize, phi: f64, half: bool, effort: LatticeEffort) -> Vec<f64> {
    let body = &table.bodies[shape];
    let range = if half { PI } else { TAU };
    let mut list: Vec<f64> = match table.problem.shapes[shape].turn_step_rad {
        None => {
            let n = body.hull.len();
            let mut edges: Vec<(f64, f64)> = (0..n)
                .map(|i| {
                    let d = body.hull[(i + 1) % n] - body.hull[i];
                    (d.length(), -d.y.atan2(d.x))
                })
                .collect();
            edges.sort_by(|a, b| b.0.total_cmp(&a.0));
            let aligned = edges.into_iter().take(8).flat_map(|(_, t)| [t, t + FRAC_PI_2]);
            let even = (0..effort.turns).map(|i| range * i as f64 / effort.turns as f64);
            aligned.chain(even).map(|t| t.rem_euclid(range)).collect()
        }
        Some(step) if step > 1e-3 => {
            let n = ((TAU / step).round().max(1.0) as usize).min(720);
            let every = n.div_ceil(effort.turns * 2).max(1);
            (0..n).step_by(every).map(|i| (i as f64 * step - phi).rem_euclid(range)).collect()
        }
        Some(_) => vec![(-phi).rem_euclid(range)],
    };
    list.sort_by(f64::total_cmp);
    list.dedup_by(|a, b| (*a - *b).abs() < 1e-7);
    // A shape that looks the same after a smaller turn needs no more than that.
    if let Some(period) = body.period {
        let mut seen: Vec<f64> = Vec::new();
        list.retain(|t| {
            let r = t.rem_euclid(period);
            let new = !seen.iter().any(|s| (s - r).abs() < 1e-6 || (s - r).abs() > period - 1e-6);
            if new {
                seen.push(r);
            }
            new
        });
    }
    list
}

/// Positions of the origin in the room, as a box in the frame of rows along `phi`.
fn inner_fit_box(table: &ZoneTable<'_>, bed: usize, shape: usize, turn: f64, phi: f64) -> Option<Bounds> {
    let corners = InnerFit::corners(&table.problem.beds[bed], &table.bodies[shape], turn);
    let back = Placement::new(0.0, 0.0, -phi);
    let b = Bounds::of(corners.into_iter().map(|p| back.apply(p)));
    (!b.is_empty()).then_some(b)
}

#[expect(clippy::too_many_arguments, reason = "one call, of what a family knows")]
fn lattices(
    pairs: &RowPairs,
    psi: f64,
    phi: f64,
    half: bool,
    ranges: &[Bounds; 2],
    slanted: bool,
    effort: LatticeEffort,
    watch: &dyn Watch<Layout>,
) -> Vec<Lattice> {
    let mut cells = vec![vec![(0, Point::default())]];
    if half {
        cells.extend(pairs.contacts(effort.contacts).into_iter().map(|t| vec![(0, Point::default()), (1, t)]));
    }
    let mut out = Vec::new();
    for cell in cells {
        let least = pairs.pitch(&cell);
        if least.is_nan() || least <= 1e-6 {
            continue;
        }
        let reach = pairs.height_reach(&cell);
        let span = ranges[0].width();
        let n = (span / least + 1e-9).floor();
        let mut pitches = vec![least];
        if slanted {
            pitches.retain(|p| *p <= span);
        }
        // Rows spread over the whole room, all alike or every other one moved by half a pitch.
        let spread = if slanted { &[][..] } else { &[n, n - 0.5, n - 1.0] };
        pitches.extend(spread.iter().copied().filter(|k| *k >= 1.0).map(|k| span / k).filter(|p| *p > least));
        if let [_, (_, t)] = cell.as_slice()
            && !slanted
        {
            let span = ranges[1].max.x - ranges[0].min.x - t.x;
            let n = (span / least + 1e-9).floor();
            pitches.extend((n >= 1.0).then(|| span / n).filter(|p| *p > least));
        }
        for pitch in pitches {
            if watch.cancelled() {
                return out;
            }
            let height = |s: f64| pairs.height(&cell, pitch, s);
            for to_and_fro in [false, true] {
                // Rows further up may reach down between the next ones.
                let full = |s: f64| {
                    let mut h = if to_and_fro { height(s).max(height(-s)) } else { height(s) };
                    for k in 2..=9 {
                        let rows = f64::from(k);
                        if rows * h >= reach {
                            break;
                        }
                        let along = match (to_and_fro, k % 2 == 0) {
                            (true, true) => 0.0,
                            (true, false) => s,
                            (false, _) => rows * s,
                        };
                        h = h.max(height(along) / rows);
                        if to_and_fro {
                            h = h.max(height(-along) / rows);
                        }
                    }
                    h
                };
                let steps = effort.shifts;
                let at = |k: usize| pitch * k as f64 / steps as f64;
                let tried: Vec<f64> = (0..steps).map(|k| full(at(k))).collect();
                // Every local least, made finer.
                for k in 0..steps {
                    let (before, here, after) = (tried[(k + steps - 1) % steps], tried[k], tried[(k + 1) % steps]);
                    if here > before || here > after || !here.is_finite() {
                        continue;
                    }
                    let (shift, height) = finer(&full, at(k), pitch / steps as f64, here);
                    if height > 1e-6 {
                        out.push(Lattice { psi, phi, cell: cell.clone(), pitch, shift, height, to_and_fro });
                    }
                }
            }
        }
    }
    out
}

/// The least of `f` about `x`, by halving steps.
fn finer(f: &impl Fn(f64) -> f64, mut x: f64, mut step: f64, mut best: f64) -> (f64, f64) {
    for _ in 0..18 {
        step *= 0.5;
        for d in [-step, step] {
            let y = f(x + d);
            if y < best {
                best = y;
                x += d;
                break;
            }
        }
    }
    (x, best)
}
