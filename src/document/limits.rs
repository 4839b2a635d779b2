//! The least and the greatest of every number that a person can set: one table for the file, commands, estimates, the command
//! line and the window's fields. The limits are far wider than any machine's: they keep out slips of the keyboard.

use super::{
    Adhesion, Assumptions, BedShape, Changeover, Column, Copy, Footing, LayerFloor, Machine, Margins, Material, Part,
    PlateOutcome, Preferences, Recipe, Spool,
};

/// What is allowed of one number; both ends are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowed {
    /// The number in words: "wall speed".
    pub name: &'static str,
    /// Its unit: "mm/s".
    pub unit: &'static str,
    /// The least.
    pub least: f64,
    /// The greatest.
    pub most: f64,
}

impl Allowed {
    /// Whether a number is allowed; what is not a number never is.
    pub fn holds(self, value: f64) -> bool {
        value >= self.least && value <= self.most
    }
    /// "0.1 to 5000 mm/s".
    pub fn words(self) -> String {
        let Self { unit, least, most, .. } = self;
        format!("{least} to {most} {unit}").trim_end().to_owned()
    }
}

/// One number of a thing.
pub struct Number<T> {
    /// Its place in the file below the thing, with dots: `support.density`.
    pub key: &'static str,
    /// What is allowed of it.
    pub allowed: Allowed,
    /// Its value; `None` where the thing has no such number.
    pub value: fn(&T) -> Option<f64>,
}

/// Longest side of a bed, mm.
pub const LONGEST_BED_MM: f64 = 10_000.0;
/// Farthest from the bed's front left corner that anything lies, mm.
pub const FARTHEST_MM: f64 = 1e6;
/// Most copies on all plates of a job: beyond it every answer would be slow, and every count is a slip of the keyboard.
pub const MOST_COPIES: usize = 20_000;
/// Least and most corners of an outline.
pub const CORNERS: (usize, usize) = (3, 10_000);

macro_rules! numbers {
    (
        $(#[$doc:meta])* $table:ident of $thing:ty:
        $($name:ident = $key:literal, $words:literal, $unit:literal, $least:expr, $most:expr, |$t:ident| $value:expr;)*
    ) => {
        $(
            #[doc = concat!("Of ", $words, " (`", $key, "`).")]
            pub const $name: Allowed = Allowed { name: $words, unit: $unit, least: $least, most: $most };
        )*
        $(#[$doc])*
        pub const $table: &[Number<$thing>] =
            &[$(Number { key: $key, allowed: $name, value: |$t| $value }),*];
    };
}

numbers! {
    /// Numbers of a recipe.
    RECIPE of Recipe:
    LAYER_HEIGHT = "layer_height_mm", "layer height", "mm", 0.01, 5.0, |r| Some(r.layer_height_mm);
    FIRST_LAYER = "first_layer_mm", "first layer height", "mm", 0.01, 5.0, |r| Some(r.first_layer_mm);
    BEAD_WIDTH = "bead_width_mm", "bead width", "mm", 0.05, 20.0, |r| Some(r.bead_width_mm);
    WALLS = "walls", "number of walls", "", 0.0, 1000.0, |r| Some(r.walls.into());
    SOLID_BOTTOM = "solid_bottom", "number of solid layers at the bottom", "", 0.0, 1e5, |r| Some(r.solid_bottom.into());
    SOLID_TOP = "solid_top", "number of solid layers at the top", "", 0.0, 1e5, |r| Some(r.solid_top.into());
    INFILL = "infill", "infill density", "(1 is solid)", 0.0, 1.0, |r| Some(r.infill);
    WALL_SPEED = "wall_mm_s", "wall speed", "mm/s", 0.1, 5000.0, |r| Some(r.wall_mm_s);
    SOLID_SPEED = "solid_mm_s", "solid layer speed", "mm/s", 0.1, 5000.0, |r| Some(r.solid_mm_s);
    INFILL_SPEED = "infill_mm_s", "infill speed", "mm/s", 0.1, 5000.0, |r| Some(r.infill_mm_s);
    TRAVEL_SPEED = "travel_mm_s", "travel speed", "mm/s", 0.1, 5000.0, |r| Some(r.travel_mm_s);
    FIRST_LAYER_SPEED = "first_layer_mm_s", "first layer speed", "mm/s", 0.1, 5000.0, |r| Some(r.first_layer_mm_s);
    LEAST_SPEED = "least_mm_s", "minimum speed", "mm/s", 0.1, 5000.0, |r| Some(r.least_mm_s);
    ACCELERATION = "acceleration_mm_s2", "acceleration", "mm/s²", 1.0, 1e6, |r| Some(r.acceleration_mm_s2);
    TRAVEL_ACCELERATION =
        "travel_acceleration_mm_s2", "travel acceleration", "mm/s²", 1.0, 1e6, |r| Some(r.travel_acceleration_mm_s2);
    JUNCTION_DEVIATION =
        "junction_deviation_mm", "junction deviation", "mm", 0.0, 10.0, |r| Some(r.junction_deviation_mm);
    FLOW = "flow_mm3_s", "maximum flow", "mm³/s", 0.01, 1e4, |r| Some(r.flow_mm3_s);
    RETRACTION = "retraction_mm", "retraction", "mm", 0.0, 100.0, |r| Some(r.retraction_mm);
    RETRACTION_SPEED = "retraction_mm_s", "retraction speed", "mm/s", 0.1, 1000.0, |r| Some(r.retraction_mm_s);
    LAYER_CHANGE = "layer_change_s", "time of a layer change", "s", 0.0, 3600.0, |r| Some(r.layer_change_s);
    SKIRT_LOOPS = "skirt_loops", "number of skirt loops", "", 0.0, 1000.0, |r| Some(r.skirt_loops.into());
    SKIRT_GAP = "skirt_gap_mm", "skirt gap", "mm", 0.0, 1000.0, |r| Some(r.skirt_gap_mm);
    RAFT_LAYERS = "raft_layers", "number of raft layers", "", 0.0, 1000.0, |r| Some(r.raft_layers.into());
    RAFT_SOLID_TOP =
        "raft_solid_top", "number of solid layers on top of a raft", "", 0.0, 1000.0, |r| Some(r.raft_solid_top.into());
    RAFT_DENSITY = "raft_density", "raft density", "(1 is solid)", 0.0, 1.0, |r| Some(r.raft_density);
    PURGE = "purge_mm3", "purge", "mm³", 0.0, 1e6, |r| Some(r.purge_mm3);
    TIME_FACTOR = "time_factor", "time factor", "", 0.01, 100.0, |r| Some(r.time_factor);
    OVERHANG =
        "support.overhang_deg", "overhang angle", "° from the vertical", 0.0, 89.0, |r| r.support.map(|s| s.overhang_deg);
    SUPPORT_DENSITY =
        "support.density", "support density", "(1 is solid)", 0.0, 1.0, |r| r.support.map(|s| s.density);
    FLOOR = "floor.seconds", "minimum layer time", "s", 0.0, 86_400.0, |r| match r.floor {
        LayerFloor::Typed { seconds } => Some(seconds),
        _ => None,
    };
}

numbers! {
    /// Constants of a material.
    MATERIAL of Material:
    DENSITY = "density_g_cm3", "density", "g/cm³", 0.05, 25.0, |m| Some(m.density_g_cm3);
    HEAT_CAPACITY = "heat_capacity_j_kg_k", "heat capacity", "J/(kg K)", 10.0, 1e4, |m| Some(m.heat_capacity_j_kg_k);
    CONDUCTIVITY = "conductivity_w_m_k", "conductivity", "W/(m K)", 0.001, 500.0, |m| Some(m.conductivity_w_m_k);
    DEPOSIT = "deposit_c", "deposit temperature", "°C", 0.0, 2000.0, |m| Some(m.deposit_c);
    LIMIT = "limit_c", "limit temperature", "°C", -100.0, 2000.0, |m| Some(m.limit_c);
    AIR = "air_c", "air temperature", "°C", -50.0, 500.0, |m| Some(m.air_c);
    FILM = "film_w_m2_k", "heat transfer", "W/(m² K)", 0.1, 1e4, |m| Some(m.film_w_m2_k);
    BED = "bed_c", "bed temperature", "°C", 0.0, 500.0, |m| Some(m.bed_c);
    COST = "cost_per_kg", "cost per kilogram", "", 0.0, 1e6, |m| Some(m.cost_per_kg);
    FLEXURAL = "strength.flexural_mpa", "flexural strength", "MPa", 0.01, 1e4, |m| Some(m.strength.flexural_mpa);
    MODULUS = "strength.modulus_mpa", "modulus of elasticity", "MPa", 0.1, 1e6, |m| Some(m.strength.modulus_mpa);
    EXPANSION =
        "strength.expansion_um_m_k", "thermal expansion", "10⁻⁶/K", 0.0, 1000.0, |m| Some(m.strength.expansion_um_m_k);
}

numbers! {
    /// Numbers of an adhesion and of the pull test behind it.
    ADHESION of Adhesion:
    ADHESION_KPA = "kpa", "adhesion", "kPa", 0.0, 1e5, |a| Some(a.kpa);
    TEST_HEIGHT =
        "pull_test.height_mm", "height of the push", "mm", 0.1, 1000.0, |a| a.pull_test.as_ref().map(|t| t.height_mm);
    TEST_FORCE = "pull_test.force_n", "force of the push", "N", 0.0, 1e4, |a| a.pull_test.as_ref().map(|t| t.force_n);
    TEST_DIAMETER =
        "pull_test.column.diameter_mm", "diameter of the column", "mm", 0.1, 1000.0, |a| match a.pull_test.as_ref()?.column {
            Column::Round { diameter_mm } => Some(diameter_mm),
            Column::Rectangle { .. } => None,
        };
    TEST_ALONG =
        "pull_test.column.along_mm", "side along the push", "mm", 0.1, 1000.0, |a| match a.pull_test.as_ref()?.column {
            Column::Rectangle { along_mm, .. } => Some(along_mm),
            Column::Round { .. } => None,
        };
    TEST_ACROSS =
        "pull_test.column.across_mm", "side across the push", "mm", 0.1, 1000.0, |a| match a.pull_test.as_ref()?.column {
            Column::Rectangle { across_mm, .. } => Some(across_mm),
            Column::Round { .. } => None,
        };
}

numbers! {
    /// What is assumed about falling over.
    ASSUMPTIONS of Assumptions:
    SIDEWAYS = "sideways_n", "sideways force", "N", 0.0, 1000.0, |a| Some(a.sideways_n);
    SAFETY = "safety_factor", "safety factor", "", 1.0, 100.0, |a| Some(a.safety_factor);
    BRIM_CLEAN_UP = "brim_clean_up_s", "clean-up of a brim", "s", 0.0, 86_400.0, |a| Some(a.brim_clean_up_s);
    COMMON_CAUSE = "common_cause_percent", "plates spoilt at once", "%", 0.0, 100.0, |a| Some(a.common_cause_percent);
    TIME_SPREAD = "time_spread_percent", "spread of real times", "%", 0.0, 95.0, |a| Some(a.time_spread_percent);
    FAILING = "failing_percent", "copies that fail", "%", 0.0, 100.0, |a| Some(a.failing_percent);
    RAFT_CLEAN_UP = "raft_clean_up_s", "clean-up of a raft", "s", 0.0, 86_400.0, |a| Some(a.raft_clean_up_s);
}

numbers! {
    /// Numbers of a machine; corners of outlines have rules of their own.
    MACHINE of Machine:
    BED_WIDTH = "bed.width_mm", "bed width", "mm", 1.0, LONGEST_BED_MM, |m| match m.bed {
        BedShape::Rectangle { width_mm, .. } => Some(width_mm),
        _ => None,
    };
    BED_DEPTH = "bed.depth_mm", "bed depth", "mm", 1.0, LONGEST_BED_MM, |m| match m.bed {
        BedShape::Rectangle { depth_mm, .. } => Some(depth_mm),
        _ => None,
    };
    BED_DIAMETER = "bed.diameter_mm", "bed diameter", "mm", 1.0, LONGEST_BED_MM, |m| match m.bed {
        BedShape::Round { diameter_mm } => Some(diameter_mm),
        _ => None,
    };
    HEIGHT = "height_mm", "usable height", "mm", 0.1, LONGEST_BED_MM, |m| Some(m.height_mm);
    BED_EDGE = "edge_mm", "edge margin of the bed", "mm", 0.0, 1000.0, |m| Some(m.edge_mm);
    FILAMENT = "filament_mm", "filament diameter", "mm", 0.5, 20.0, |m| Some(m.filament_mm);
    HEAT_UP = "heat_up_s", "heat-up time", "s", 0.0, 86_400.0, |m| Some(m.heat_up_s);
    BED_COOLING = "bed_cooling_s", "time constant of the cooling bed", "s", 0.0, 86_400.0, |m| Some(m.bed_cooling_s);
    STRIP = "carriages.strip_mm", "strip between the carriages", "mm", 0.0, LONGEST_BED_MM, |m| m.carriages.map(|c| c.strip_mm);
    HEAD_RADIUS = "head.radius_mm", "reach of the head", "mm", 0.0, LONGEST_BED_MM, |m| m.head.map(|h| h.radius_mm);
    UNDER_GANTRY = "head.under_gantry_mm", "height under the gantry", "mm", 0.0, LONGEST_BED_MM, |m| m.head.map(|h| h.under_gantry_mm);
    END = "end_s", "end time", "s", 0.0, 86_400.0, |m| Some(m.end_s);
}

numbers! {
    /// Numbers of a spool.
    SPOOL of Spool:
    GRAMS_LEFT = "grams_left", "filament left", "g", 0.0, 1e5, |s| Some(s.grams_left);
    DIAMETER_TOLERANCE = "tolerance_mm", "diameter tolerance", "mm", 0.0, 0.5, |s| Some(s.tolerance_mm);
}

numbers! {
    /// Clearances of a job.
    MARGINS of Margins:
    GAP = "gap_mm", "gap", "mm", 0.0, 1000.0, |m| Some(m.gap_mm);
    EDGE = "edge_mm", "edge margin", "mm", 0.0, 1000.0, |m| Some(m.edge_mm);
    FOOTING_GAP = "footing_gap_mm", "footing gap", "mm", 0.0, 1000.0, |m| Some(m.footing_gap_mm);
    TOLERANCE = "tolerance_mm", "tolerance", "mm", 1e-4, 1.0, |m| Some(m.tolerance_mm);
}

numbers! {
    /// Weights of a job's preferences.
    PREFERENCES of Preferences:
    MIDDLE = "middle", "weight of the middle", "", 0.0, 3.0, |p| Some(p.middle);
    AWAY = "away", "weight of the side to keep away from", "", 0.0, 3.0, |p| Some(p.away);
    TALL_BACK = "tall_back", "weight of tall copies at the back", "", 0.0, 3.0, |p| Some(p.tall_back);
    TALL_APART = "tall_apart", "weight of tall copies apart", "", 0.0, 3.0, |p| Some(p.tall_apart);
    TRAVEL = "travel", "weight of short moves", "", 0.0, 3.0, |p| Some(p.travel);
}

numbers! {
    /// Hand work between plates.
    CHANGEOVER of Changeover:
    REMOVAL = "removal_s", "part removal", "s", 0.0, 86_400.0, |c| Some(c.removal_s);
    PREPARING = "preparing_s", "preparation", "s", 0.0, 86_400.0, |c| Some(c.preparing_s);
    COLOUR_CHANGE = "colour_change_s", "change of colour", "s", 0.0, 86_400.0, |c| Some(c.colour_change_s);
    MATERIAL_CHANGE = "material_change_s", "change of material", "s", 0.0, 86_400.0, |c| Some(c.material_change_s);
    CHANGE_WASTE = "change_waste_g", "filament purged at a change", "g", 0.0, 1e4, |c| Some(c.change_waste_g);
    REMOVAL_C = "removal_c", "removal temperature", "°C", 0.0, 500.0, |c| Some(c.removal_c);
}

numbers! {
    /// Numbers of an outcome in the tally.
    OUTCOME of PlateOutcome:
    ACTUAL = "actual_s", "real time", "s", 1.0, 3.6e6, |o| Some(o.actual_s);
    ACTUAL_G = "actual_g", "filament used", "g", 0.0, 1e5, |o| o.actual_g;
    ESTIMATED = "estimated_s", "estimated time", "s", 0.0, 1e9, |o| o.estimated_s;
    ESTIMATED_G = "estimated_g", "estimated filament", "g", 0.0, 1e9, |o| o.estimated_g;
    FACTOR_THEN = "time_factor", "time factor", "", 0.01, 100.0, |o| Some(o.time_factor);
}

/// Where a tallied copy may have lain, mm.
pub const OUTCOME_PLACE: Allowed = Allowed { name: "place", unit: "mm", least: -FARTHEST_MM, most: FARTHEST_MM };
/// After how many plates something is due again.
pub const DUE_PLATES: Allowed = Allowed { name: "number of plates", unit: "", least: 1.0, most: 10_000.0 };
/// Most outcomes in a tally.
pub const MOST_OUTCOMES: usize = 100_000;
/// Longest initials, letters.
pub const MOST_INITIALS: usize = 12;
/// Longest note, letters.
pub const MOST_NOTE: usize = 500;
/// Most items of a job's own in a checklist.
pub const MOST_OWN_ITEMS: usize = 50;
/// Longest such item, letters.
pub const MOST_OWN_ITEM: usize = 120;
/// Most ticks of a checklist.
pub const MOST_TICKS: usize = 100_000;

/// Most people in a shop.
pub const MOST_PEOPLE: u32 = 1000;
/// Most exceptions from the week, and most downtimes of a machine.
pub const MOST_EXCEPTIONS: usize = 2000;
/// Most spans of one day.
pub const MOST_SPANS: usize = 24;
/// Years that dates may lie in.
pub const YEARS: (i16, i16) = (1970, 2200);

numbers! {
    /// Numbers of a part; the nine of its rotation have a rule of their own.
    PART of Part:
    WANTED = "wanted", "number wanted", "", 0.0, 1e6, |p| Some(p.wanted.into());
    SCALE = "pose.scale_percent", "scale", "%", 0.001, 1e5, |p| Some(p.pose.scale_percent);
    FOOTING_WIDTH = "footing.width_mm", "footing width", "mm", 0.0, 100.0, |p| width_mm(Some(p.footing));
    PART_BRIM_CLEAN_UP = "clean_up.brim_s", "clean-up of a brim", "s", 0.0, 86_400.0, |p| p.clean_up.brim_s;
    PART_RAFT_CLEAN_UP = "clean_up.raft_s", "clean-up of a raft", "s", 0.0, 86_400.0, |p| p.clean_up.raft_s;
}

numbers! {
    /// Numbers of a copy.
    COPY of Copy:
    PLACE_X = "x_mm", "place across", "mm", -FARTHEST_MM, FARTHEST_MM, |c| Some(c.x_mm);
    PLACE_Y = "y_mm", "place up", "mm", -FARTHEST_MM, FARTHEST_MM, |c| Some(c.y_mm);
    TURN = "turn_deg", "turn", "°", -1e6, 1e6, |c| Some(c.turn_deg);
    OWN_FOOTING_WIDTH = "footing.width_mm", "footing width", "mm", 0.0, FOOTING_WIDTH.most, |c| width_mm(c.footing);
}

fn width_mm(footing: Option<Footing>) -> Option<f64> {
    footing.filter(|f| *f != Footing::Bare).map(Footing::width_mm)
}
