//! A plate's estimate: the sum over its copies, layer by layer.

use crate::{
    document::{LayerFloor, Material, Recipe},
    geom::Point,
};

use super::{
    FootingProfile, Items, LayerEstimate, PathLength, PlateCopy, PlateEstimate, PlateInput, Profile, RecipeFault, Tour,
    check_machine, check_material, filament, minimum_s, motion::rest_to_rest_s, pace::Pace, plate_layers, skirt::skirt,
    spans::layer_span, sums::Sums, tour,
};

/// Copies that share profile and footing: summed once, times their number.
struct Group<'a> {
    profile: &'a Profile,
    footing: &'a FootingProfile,
    members: Vec<u32>,
}

impl Group<'_> {
    /// Number of plate layers until its copies are finished.
    fn end(&self) -> usize {
        (self.footing.lift_layers() + self.profile.sums().len()).max(self.footing.sums().len())
    }
}

/// Estimates a plate: the sum over the copies that still grow, moves between them, layer changes, skirt, purge, heat-up, end;
/// each layer slowed to the least speed and, where the recipe says so, waited for, until it has its minimum layer time.
///
/// The recipe's time factor multiplies all motion (every item but heat-up, slowing, waiting and end) before a layer is compared with
/// its minimum: a machine that is slower than estimated also gives layers more time to cool.
///
/// Moves between copies go from one copy's anchor to the next one's, each with a retraction; the way is open, for the next layer
/// begins with the copy where this one ends, and to and fro. There one more move leads from where the copy's layer ends to where its next
/// one begins, drawn back where it crosses open air. The skirt comes first; from it one move, drawn back, leads to the first copy.
///
/// # Errors
/// Numbers of machine, material or recipe that [`check_machine`], [`check_material`] or [`super::check_recipe`] refuse.
pub fn plate(input: &PlateInput<'_>, tour: Tour<'_>) -> Result<PlateEstimate, RecipeFault> {
    let PlateInput { machine, material, recipe, copies } = *input;
    check_machine(machine)?;
    check_material(material)?;
    let pace = Pace::new(recipe, false)?;
    let factor = recipe.time_factor;

    let groups = grouped(copies);
    let layer_count = groups.iter().map(Group::end).max().unwrap_or(0);
    let mut rows = vec![Sums::default(); layer_count];
    for g in &groups {
        let count = g.members.len() as f64;
        for (row, add) in rows.iter_mut().skip(g.footing.lift_layers()).zip(g.profile.sums()) {
            row.add(count, add);
        }
        for (row, add) in rows.iter_mut().zip(g.footing.sums()) {
            row.add(count, add);
        }
    }

    let sets = plate_layers::growing(&groups.iter().map(|g| (g.end(), &g.members[..])).collect::<Vec<_>>());
    let tours = if matches!(tour, Tour::None) {
        tour::plan(&[], &[], tour)
    } else {
        let place: Vec<Point> = copies.iter().map(PlateCopy::anchor).collect();
        tour::plan(&sets.iter().map(|s| s.members.clone()).collect::<Vec<_>>(), &place, tour)
    };
    let mut arrivals_s = vec![0.0; layer_count];
    for (k, set) in tours.sets().iter().enumerate() {
        let way_s = |mm: f64| rest_to_rest_s(mm, pace.travel_mm_s, pace.travel_acceleration);
        let (travel, legs_mm) = set.legs_mm().fold((0.0, 0.0), |(s, mm), l| (s + way_s(l), mm + l));
        let retraction = set.order.len().saturating_sub(1) as f64 * pace.retraction_s;
        for (i, row) in rows.iter_mut().enumerate().take(sets[k].to).skip(sets[k].from) {
            row.0[Sums::TRAVEL] += travel;
            row.0[Sums::WAY] += legs_mm;
            row.0[Sums::RETRACTION] += retraction;
            // The copy where the layer below ends: the way is gone to and fro.
            let turn = if i % 2 == 0 { set.order.first() } else { set.order.last() };
            let arrival = turn.and_then(|&c| copies.get(c as usize)).and_then(|c| c.arrival(i));
            if let Some(l) = arrival {
                let way = way_s(l.arrival_mm);
                let drawn_back = if l.arrival_drawn_back { pace.retraction_s } else { 0.0 };
                row.0[Sums::TRAVEL] += way;
                row.0[Sums::WAY] += l.arrival_mm;
                row.0[Sums::RETRACTION] += drawn_back;
                arrivals_s[i] = factor * (way + drawn_back);
            }
        }
    }
    if let Some(row) = rows.first_mut() {
        let round = skirt(copies, recipe)?;
        row.add(1.0, &Sums::of(&round));
        let first = tours.sets().first().and_then(|s| s.order.first()).and_then(|&c| copies.get(c as usize));
        if let Some(copy) = first.filter(|_| !round.is_empty()) {
            let way_mm = round.end.distance(copy.anchor());
            row.0[Sums::TRAVEL] += rest_to_rest_s(way_mm, pace.travel_mm_s, pace.travel_acceleration);
            row.0[Sums::WAY] += way_mm;
            row.0[Sums::RETRACTION] += pace.retraction_s;
        }
    }

    let mut items = Items {
        heat_up_s: machine.heat_up_s + if layer_count > 0 { recipe.purge_mm3 / recipe.flow_mm3_s } else { 0.0 },
        end_s: machine.end_s,
        ..Items::default()
    };
    let mut total = Sums::default();
    let minimum = minimums(&groups, material, recipe, layer_count);
    let mut layers = Vec::with_capacity(layer_count);
    let slack_s: Vec<f64> = rows.iter().map(|row| factor * row.0[Sums::SLACK]).collect();
    for set in &sets {
        for (i, row) in rows.iter().enumerate().take(set.to).skip(set.from) {
            total.add(1.0, row);
            let laid_s = row.time_s();
            let natural_s = factor * (laid_s + recipe.layer_change_s);
            // A layer on which nothing is laid has nothing to cool.
            let minimum_s = minimum[i].filter(|_| laid_s > 0.0);
            let short = minimum_s.map_or(0.0, |m| (m - natural_s).max(0.0));
            let slowing_s = short.min(slack_s[i]);
            let left = short - slowing_s;
            let (waiting_s, unserved_s) = if recipe.wait_when_short { (left, 0.0) } else { (0.0, left) };
            items.slowing_s += slowing_s;
            items.waiting_s += waiting_s;
            layers.push(LayerEstimate {
                top_mm: layer_span(recipe, i).top_mm,
                natural_s,
                minimum_s,
                time_s: natural_s + slowing_s + waiting_s,
                slowing_s,
                waiting_s,
                unserved_s,
                headroom: minimum_s.map(|m| natural_s / m),
                volume_mm3: row.0[Sums::VOLUME],
                copies: set.members.clone(),
            });
        }
    }
    items.walls_s = factor * total.0[Sums::WALLS];
    items.solid_s = factor * total.0[Sums::SOLID];
    items.infill_s = factor * total.0[Sums::INFILL];
    items.support_s = factor * total.0[Sums::SUPPORT];
    items.footing_s = factor * total.0[Sums::FOOTING];
    items.travel_s = factor * total.0[Sums::TRAVEL];
    items.retraction_s = factor * total.0[Sums::RETRACTION];
    items.layer_change_s = factor * recipe.layer_change_s * layer_count as f64;
    let purge = if layer_count > 0 { recipe.purge_mm3 } else { 0.0 };
    let filament = filament(total.0[Sums::VOLUME] + purge, machine, material);
    let path = PathLength { bead_mm: total.0[Sums::BEAD], travel_mm: total.0[Sums::WAY] };
    Ok(PlateEstimate { time_s: items.total_s(), filament, heads: 1, path, items, layers, arrivals_s, slack_s, tours })
}

/// Minimum time of each layer of the plate: by size, the greatest of what is there.
fn minimums(groups: &[Group<'_>], material: &Material, recipe: &Recipe, layer_count: usize) -> Vec<Option<f64>> {
    let of = |i: usize, area: f64, around: f64| {
        let height = if i == 0 { recipe.first_layer_mm } else { recipe.layer_height_mm };
        minimum_s(material, recipe, height, area, around)
    };
    if recipe.floor != LayerFloor::MaterialBySize {
        let (first, above) = (of(0, 0.0, 0.0), of(1, 0.0, 0.0));
        return (0..layer_count).map(|i| if i == 0 { first } else { above }).collect();
    }
    let mut all: Vec<Option<f64>> = vec![None; layer_count];
    for g in groups {
        let part = g.profile.layers().iter().enumerate().map(|(k, l)| (g.footing.lift_layers() + k, l));
        for (i, l) in part.chain(g.footing.layers().iter().enumerate()) {
            let here = of(i, l.bulk_area_mm2, l.bulk_perimeter_mm);
            all[i] = all[i].into_iter().chain(here).reduce(f64::max);
        }
    }
    all
}

fn grouped(copies: &[PlateCopy]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for (i, c) in copies.iter().enumerate() {
        let same = |g: &&mut Group<'_>| {
            std::ptr::eq(g.profile, &raw const *c.profile) && std::ptr::eq(g.footing, &raw const *c.footing)
        };
        match groups.iter_mut().find(same) {
            Some(g) => g.members.push(i as u32),
            None => groups.push(Group { profile: &c.profile, footing: &c.footing, members: vec![i as u32] }),
        }
    }
    groups
}
