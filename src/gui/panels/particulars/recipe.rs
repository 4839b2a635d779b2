//! A recipe's numbers.

use egui::{RichText, Ui};

use super::{
    lines,
    numbers::{self, Number, number},
};
use crate::{
    document::{LayerFloor, Material, Recipe, RecipeId, Support, limits},
    estimate::floor_words,
    gui::{
        panels::strip,
        read,
        theme::Theme,
        widgets::{Choice, NumberField, Rule, Unit, line, link},
        wish::Wish,
    },
    session::{Action, Session},
};

const SPEED: Unit = Unit::Plain(" mm/s");
const PUSH: Unit = Unit::Plain(" mm/s²");

/// The one place where a person is told how thin places are laid.
const BEADS: &str = "Also the distance between neighbouring beads. Where a wall is thinner than all its loops, it is laid with the number of \
    beads that fits best, made narrower or wider: from half to twice this width";

const LAYERS: [Number<Recipe>; 3] = [
    number("layer height", Unit::Mm, (limits::LAYER_HEIGHT, 0.02), "", |r| &mut r.layer_height_mm),
    number("first layer", Unit::Mm, (limits::FIRST_LAYER, 0.02), "Height of the first layer", |r| {
        &mut r.first_layer_mm
    }),
    number("bead width", Unit::Mm, (limits::BEAD_WIDTH, 0.02), BEADS, |r| &mut r.bead_width_mm),
];

const INFILL: [Number<Recipe>; 1] = [Number {
    label: "infill",
    unit: Unit::Percent,
    allowed: limits::INFILL,
    step: 1.0,
    per: 0.01,
    tooltip: "Density of the sparse infill",
    place: |r| &mut r.infill,
}];

const RAFT: [Number<Recipe>; 1] = [Number {
    label: "raft density",
    unit: Unit::Percent,
    allowed: limits::RAFT_DENSITY,
    step: 5.0,
    per: 0.01,
    tooltip: "Density of the raft's layers below the solid ones; 100 % is a solid raft",
    place: |r| &mut r.raft_density,
}];

const SUPPORT: [Number<Support>; 2] = [
    number(
        "overhang angle",
        Unit::Degrees,
        (limits::OVERHANG, 5.0),
        "Supports go under surfaces that lean further than this from the vertical",
        |s| &mut s.overhang_deg,
    ),
    Number {
        label: "support density",
        unit: Unit::Percent,
        allowed: limits::SUPPORT_DENSITY,
        step: 1.0,
        per: 0.01,
        tooltip: "Density of the columns under overhangs",
        place: |s| &mut s.density,
    },
];

const MOTION: [Number<Recipe>; 10] = [
    number("wall speed", SPEED, (limits::WALL_SPEED, 5.0), "", |r| &mut r.wall_mm_s),
    number("solid layer speed", SPEED, (limits::SOLID_SPEED, 5.0), "", |r| &mut r.solid_mm_s),
    number("infill speed", SPEED, (limits::INFILL_SPEED, 5.0), "", |r| &mut r.infill_mm_s),
    number("travel speed", SPEED, (limits::TRAVEL_SPEED, 10.0), "Speed without a bead", |r| &mut r.travel_mm_s),
    number("first layer speed", SPEED, (limits::FIRST_LAYER_SPEED, 1.0), "Speed on the whole first layer", |r| {
        &mut r.first_layer_mm_s
    }),
    number("minimum speed", SPEED, (limits::LEAST_SPEED, 1.0), "Layers are never slowed below this", |r| {
        &mut r.least_mm_s
    }),
    number("acceleration", PUSH, (limits::ACCELERATION, 100.0), "While a bead is laid", |r| &mut r.acceleration_mm_s2),
    number("travel acceleration", PUSH, (limits::TRAVEL_ACCELERATION, 100.0), "", |r| &mut r.travel_acceleration_mm_s2),
    number(
        "junction deviation",
        Unit::Mm,
        (limits::JUNCTION_DEVIATION, 0.005),
        "How far the circle that decides the corner speed stays from the corner",
        |r| &mut r.junction_deviation_mm,
    ),
    number("maximum flow", Unit::Plain(" mm³/s"), (limits::FLOW, 0.5), "", |r| &mut r.flow_mm3_s),
];

const REST: [Number<Recipe>; 6] = [
    number(
        "retraction",
        Unit::Mm,
        (limits::RETRACTION, 0.1),
        "Filament pulled back before a move through open air",
        |r| &mut r.retraction_mm,
    ),
    number("retraction speed", SPEED, (limits::RETRACTION_SPEED, 1.0), "", |r| &mut r.retraction_mm_s),
    number("layer change", Unit::Seconds, (limits::LAYER_CHANGE, 0.1), "", |r| &mut r.layer_change_s),
    number("skirt gap", Unit::Mm, (limits::SKIRT_GAP, 0.5), "From the footings to the skirt", |r| &mut r.skirt_gap_mm),
    number("purge", Unit::Plain(" mm³"), (limits::PURGE, 10.0), "At the start", |r| &mut r.purge_mm3),
    number("time factor", Unit::Plain(""), (limits::TIME_FACTOR, 0.01), "Measured time ÷ estimated time", |r| {
        &mut r.time_factor
    }),
];

/// Shows a recipe of the job.
pub(super) fn show(ui: &mut Ui, session: &Session, id: Option<RecipeId>, wishes: &mut Vec<Wish>) {
    let Some(old) = id.and_then(|id| session.job().recipe(id)) else { return };
    let mut r = old.clone();
    let key = old.id;
    lines::word(ui, "name", "recipe name", key, &mut r.name);
    numbers::show(ui, key, &mut r, &LAYERS);
    numbers::count(ui, key, "wall loops", &mut r.walls, limits::WALLS);
    numbers::count(ui, key, "solid layers below", &mut r.solid_bottom, limits::SOLID_BOTTOM);
    numbers::count(ui, key, "solid layers on top", &mut r.solid_top, limits::SOLID_TOP);
    numbers::show(ui, key, &mut r, &INFILL);
    let material = session.plate().and_then(|p| session.job().material(p.material));
    let on_plate = session.plate().is_some_and(|p| p.recipe == key);
    let tried = read::estimate(session).filter(|e| on_plate && !e.layers.is_empty()).map(|e| strip::tried(e, old));
    cooling(ui, &mut r, material, tried);
    if let Some(wanted) = numbers::yes_or_no(ui, key, "supports", Some(r.support.is_some())) {
        r.support = wanted.then(Support::default);
    }
    if let Some(support) = &mut r.support {
        numbers::show(ui, key, support, &SUPPORT);
    }
    numbers::show(ui, key, &mut r, &MOTION);
    numbers::show(ui, key, &mut r, &REST);
    numbers::count(ui, key, "skirt loops", &mut r.skirt_loops, limits::SKIRT_LOOPS);
    numbers::count(ui, key, "raft layers", &mut r.raft_layers, limits::RAFT_LAYERS);
    numbers::count(ui, key, "solid on top of the raft", &mut r.raft_solid_top, limits::RAFT_SOLID_TOP);
    numbers::show(ui, key, &mut r, &RAFT);
    if r != *old {
        wishes.push(Action::SetRecipe(Box::new(r)).into());
    }
    ui.horizontal(|ui| {
        if link(ui, "New recipe like this", false).clicked() {
            let name = format!("{} (2)", old.name);
            wishes.push(Action::AddRecipe(Box::new(Recipe { name, ..old.clone() })).into());
        }
        let remove = Action::RemoveRecipe(old.id);
        if session.job().recipes.len() > 1 && link(ui, remove.name(), false).clicked() {
            wishes.push(remove.into());
        }
    });
}

/// The minimum layer time and what happens below it.
fn cooling(ui: &mut Ui, r: &mut Recipe, material: Option<&Material>, tried: Option<String>) {
    let key = r.id;
    let theme = Theme::of(ui.visuals());
    let words = material.map(|m| floor_words(m, r));
    let word = words.as_ref().map_or("?", |w| w.form);
    line(ui, "minimum layer time", Rule::None, |ui| {
        let choices = [
            (LayerFloor::Material, "from material".to_owned()),
            (LayerFloor::MaterialBySize, "from material and size".to_owned()),
            (LayerFloor::Typed { seconds: 10.0 }, "typed".to_owned()),
            (LayerFloor::None, "none".to_owned()),
        ];
        if let Some(floor) = Choice::new("minimum layer time", word).of(key).show(ui, choices) {
            r.floor = floor;
        }
    });
    if let LayerFloor::Typed { seconds } = &mut r.floor {
        line(ui, "minimum", Rule::None, |ui| {
            let field = NumberField::new("least seconds a layer", *seconds, Unit::Seconds).allowed(limits::FLOOR);
            if let Some(s) = field.of(key).show(ui) {
                *seconds = s;
            }
        });
    }
    if let Some(tried) = tried {
        ui.add(egui::Label::new(RichText::new(format!("This plate with a {tried}")).small().color(theme.faint)).wrap());
    }
    if let Some(words) = words {
        ui.add(egui::Label::new(RichText::new(words.assumes).small().color(theme.faint)).wrap());
    }
    if let Some(wait) = numbers::yes_or_no(ui, key, "wait between layers", Some(r.wait_when_short)) {
        r.wait_when_short = wait;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_take_what_the_table_allows() {
        let recipe = Recipe { support: Some(Support::default()), ..Recipe::plain(RecipeId(1)) };
        for fields in [&LAYERS[..], &INFILL, &RAFT, &MOTION, &REST] {
            numbers::tests::take_what_is_allowed(&recipe, fields, limits::RECIPE);
        }
        let [beyond, density] = &SUPPORT;
        assert_eq!((beyond.allowed, density.allowed), (limits::OVERHANG, limits::SUPPORT_DENSITY));
    }
}
