//! The shop: what many jobs share.

use serde::{Deserialize, Serialize};

use super::{
    Fan, Job, LayerFloor, Machine, MachineId, Material, MaterialId, Recipe, RecipeId, Shifts, Spool, SpoolId, Strength,
};

/// Machines, materials and recipes shared by jobs. A job holds its own copy and can be refreshed from it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Shop {
    /// Machines.
    pub machines: Vec<Machine>,
    /// Materials.
    pub materials: Vec<Material>,
    /// Recipes.
    pub recipes: Vec<Recipe>,
    /// Spools, of its own materials.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spools: Vec<Spool>,
    /// What money is counted in: a code (ISO 4217) or a sign; empty where none is named.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub currency: String,
    /// When somebody is there, and how long a changeover takes.
    #[serde(default, skip_serializing_if = "Shifts::is_default")]
    pub shifts: Shifts,
}

/// A material's numbers in the order of the fields, and where density, heat capacity, conductivity and limit come from.
type Row = (&'static str, [f64; 8], [&'static str; 4]);

const TABLES: &str = "published property tables";
const MEMORY: &str = "from memory, unverified";
const PRACTICE: &str = "common practice, no source";

/// density g/cm³, heat capacity J/(kg K), conductivity W/(m K), deposit °C, limit °C, air °C, film W/(m² K), cost.
/// The limit is the glass transition; for PA the crystallisation temperature and for TPU a softening point, because
/// their glass transition says nothing about carrying the next layer. Film: 50 with full fan, 30 half, 20 off.
const MATERIALS: [Row; 7] = [
    ("PLA", [1.24, 1800.0, 0.13, 210.0, 60.0, 25.0, 50.0, 20.0], [TABLES, TABLES, TABLES, TABLES]),
    ("PETG", [1.27, 1200.0, 0.29, 240.0, 81.0, 25.0, 30.0, 22.0], [MEMORY, TABLES, TABLES, TABLES]),
    ("ABS", [1.04, 1400.0, 0.23, 245.0, 105.0, 25.0, 20.0, 22.0], [TABLES, MEMORY, TABLES, TABLES]),
    ("ASA", [1.07, 1400.0, 0.18, 250.0, 100.0, 25.0, 20.0, 28.0], [TABLES, MEMORY, MEMORY, TABLES]),
    ("PA", [1.13, 1650.0, 0.25, 255.0, 185.0, 25.0, 20.0, 45.0], [TABLES, TABLES, TABLES, MEMORY]),
    ("PC", [1.20, 1200.0, 0.20, 285.0, 145.0, 25.0, 20.0, 40.0], [TABLES, TABLES, TABLES, TABLES]),
    ("TPU", [1.21, 1850.0, 0.19, 220.0, 80.0, 25.0, 30.0, 35.0], [TABLES, TABLES, TABLES, PRACTICE]),
];

/// Flexural strength MPa, modulus MPa, thermal expansion 10⁻⁶/K, and where they come from; in the order of [`MATERIALS`].
const STRENGTHS: [([f64; 3], [&str; 3]); 7] = [
    ([80.0, 3500.0, 68.0], [TABLES, TABLES, MEMORY]),
    ([70.0, 2100.0, 68.0], [MEMORY, MEMORY, TABLES]),
    ([65.0, 2300.0, 93.6], [MEMORY, TABLES, TABLES]),
    ([65.0, 2200.0, 95.0], [MEMORY, MEMORY, MEMORY]),
    ([60.0, 1500.0, 85.0], [MEMORY, MEMORY, TABLES]),
    ([90.0, 2300.0, 77.0], [MEMORY, MEMORY, TABLES]),
    ([10.0, 60.0, 155.0], [MEMORY, MEMORY, TABLES]),
];

/// Temperature of the bed, °C, in the order of [`MATERIALS`]. Common practice, no source.
const BEDS_C: [f64; 7] = [60.0, 80.0, 100.0, 100.0, 80.0, 110.0, 45.0];

fn material(
    id: u32,
    (name, n, origins): &Row,
    (strength, from): &([f64; 3], [&'static str; 3]),
    bed_c: f64,
) -> Material {
    let named = [
        ("density_g_cm3", origins[0]),
        ("heat_capacity_j_kg_k", origins[1]),
        ("conductivity_w_m_k", origins[2]),
        ("limit_c", origins[3]),
        ("deposit_c", PRACTICE),
        ("air_c", "assumed: a room, no enclosure"),
        ("film_w_m2_k", PRACTICE),
        ("bed_c", PRACTICE),
        ("cost_per_kg", "an example: write your own price"),
        ("strength.flexural_mpa", from[0]),
        ("strength.modulus_mpa", from[1]),
        ("strength.expansion_um_m_k", from[2]),
    ];
    Material {
        id: MaterialId(id),
        name: (*name).into(),
        density_g_cm3: n[0],
        heat_capacity_j_kg_k: n[1],
        conductivity_w_m_k: n[2],
        deposit_c: n[3],
        limit_c: n[4],
        air_c: n[5],
        film_w_m2_k: n[6],
        bed_c,
        fan: Fan::Typed,
        cost_per_kg: n[7],
        strength: Strength { flexural_mpa: strength[0], modulus_mpa: strength[1], expansion_um_m_k: strength[2] },
        adhesions: Vec::new(),
        origins: named.iter().map(|(f, o)| ((*f).to_owned(), (*o).to_owned())).collect(),
    }
}

impl Shop {
    /// A shop to start from: one plain machine, seven materials, three recipes. Every number is there to be changed.
    pub fn starter() -> Self {
        let mut id = 0;
        let mut next = || {
            id += 1;
            id
        };
        // One: nothing may be put on a machine that nobody has.
        let machines = vec![Machine::rectangular(MachineId(next()), "Bench 1", 240.0, 200.0, 190.0)];
        let materials = MATERIALS
            .iter()
            .zip(&STRENGTHS)
            .zip(BEDS_C)
            .map(|((row, s), bed_c)| material(next(), row, s, bed_c))
            .collect();
        let plain = Recipe::plain(RecipeId(next()));
        let coarse = Recipe {
            id: RecipeId(next()),
            name: "0.30 mm, 2 walls, 12 %".into(),
            layer_height_mm: 0.3,
            first_layer_mm: 0.3,
            bead_width_mm: 0.5,
            walls: 2,
            solid_bottom: 3,
            solid_top: 3,
            infill: 0.12,
            ..plain.clone()
        };
        let fine = Recipe {
            id: RecipeId(next()),
            name: "0.12 mm, 3 walls, 18 %".into(),
            layer_height_mm: 0.12,
            first_layer_mm: 0.2,
            bead_width_mm: 0.42,
            solid_bottom: 6,
            solid_top: 6,
            wall_mm_s: 50.0,
            floor: LayerFloor::Material,
            ..plain.clone()
        };
        Self { machines, materials, recipes: vec![plain, coarse, fine], ..Self::default() }
    }
}

impl Job {
    /// A new job with its own copy of what the shop has.
    pub fn with_shop(title: &str, shop: &Shop) -> Self {
        let top = |ids: &mut dyn Iterator<Item = u32>| ids.max().unwrap_or(0);
        let highest = top(&mut shop.machines.iter().map(|m| m.id.0))
            .max(top(&mut shop.materials.iter().map(|m| m.id.0)))
            .max(top(&mut shop.recipes.iter().map(|r| r.id.0)))
            .max(top(&mut shop.spools.iter().map(|s| s.id.0)));
        Self {
            title: title.into(),
            machines: shop.machines.clone(),
            materials: shop.materials.clone(),
            recipes: shop.recipes.clone(),
            spools: shop.spools.clone(),
            currency: shop.currency.clone(),
            shifts: shop.shifts.clone(),
            next_id: highest.saturating_add(1),
            ..Self::default()
        }
    }
    /// The job with machines, materials, recipes and spools as they stand in the shop now, and its currency where the job
    /// names none: those of the same name take the
    /// shop's numbers and keep the job's ids, new ones are added, the job's own others stay. Also what changed, a
    /// line each ("material PLA").
    #[must_use]
    pub fn refreshed(&self, shop: &Shop) -> (Self, Vec<String>) {
        let mut job = self.clone();
        let mut changed = Vec::new();
        macro_rules! refresh {
            ($list:ident, $word:literal, $id:ident, $theirs:expr) => {
                for theirs in $theirs {
                    let mine = job.$list.iter_mut().find(|m| m.name == theirs.name);
                    let id = mine.as_ref().map_or($id(job.next_id), |m| m.id);
                    let mut fresh = theirs.clone();
                    fresh.id = id;
                    match mine {
                        Some(m) if *m == fresh => continue,
                        Some(m) => *m = fresh,
                        None => {
                            job.$list.push(fresh);
                            job.next_id = job.next_id.saturating_add(1);
                        }
                    }
                    changed.push(format!("{} {}", $word, theirs.name));
                }
            };
        }
        refresh!(machines, "machine", MachineId, &shop.machines);
        refresh!(materials, "material", MaterialId, &shop.materials);
        refresh!(recipes, "recipe", RecipeId, &shop.recipes);
        // A spool's material has another id in the job: the one of its name.
        let named = |id| {
            let name = &shop.materials.iter().find(|m| m.id == id)?.name;
            Some(job.materials.iter().find(|m| m.name == *name)?.id)
        };
        let spools: Vec<Spool> =
            shop.spools.iter().filter_map(|s| Some(Spool { material: named(s.material)?, ..s.clone() })).collect();
        refresh!(spools, "spool", SpoolId, &spools);
        if job.currency.is_empty() && !shop.currency.is_empty() {
            job.currency.clone_from(&shop.currency);
            changed.push(format!("currency {}", shop.currency));
        }
        (job, changed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::check;

    #[test]
    fn the_starter_shop_is_sound_and_says_where_its_numbers_come_from() {
        let shop = Shop::starter();
        assert_eq!(shop.machines.len(), 1, "no machine that nobody has");
        assert_eq!(check::all(&Job::with_shop("", &shop)), Vec::new());
        for m in &shop.materials {
            assert_eq!(m.origins.len(), 12, "{}", m.name);
            assert!(m.limit_c > m.air_c && m.limit_c < m.deposit_c, "{}", m.name);
        }
    }

    /// Metres of filament a kilogram: 1000 / (ρ A), computed from the same densities by another script.
    #[test]
    fn densities_give_the_published_lengths() {
        let area = std::f64::consts::PI * 1.75_f64.powi(2) / 4.0;
        let asked = [335.28, 327.36, 399.76, 388.55, 367.92, 346.46, 343.60];
        for (m, asked) in Shop::starter().materials.iter().zip(asked) {
            assert!((1000.0 / (m.density_g_cm3 * area) - asked).abs() < 0.005, "{}", m.name);
        }
    }

    #[test]
    fn refreshing_keeps_ids_takes_numbers_and_adds_what_is_new() {
        let mut shop = Shop::starter();
        let job = Job::with_shop("", &shop);
        assert_eq!(job.refreshed(&shop), (job.clone(), Vec::new()));
        shop.materials[0].cost_per_kg = 31.0;
        shop.materials[0].id = MaterialId(77);
        shop.machines.push(Machine::rectangular(MachineId(99), "Bench 4", 120.0, 120.0, 120.0));
        shop.recipes.remove(0);
        shop.spools.push(Spool::full(SpoolId(98), "White 1", MaterialId(77), "white"));
        let (fresh, changed) = job.refreshed(&shop);
        assert_eq!(changed, ["machine Bench 4", "material PLA", "spool White 1"]);
        assert_eq!(fresh.materials[0].id, job.materials[0].id);
        assert_eq!(fresh.materials[0].cost_per_kg, 31.0);
        assert_eq!(fresh.recipes, job.recipes);
        assert_eq!(fresh.machines[1].id, MachineId(job.next_id));
        assert_eq!((fresh.spools[0].id, fresh.spools[0].material), (SpoolId(job.next_id + 1), job.materials[0].id));
        assert_eq!(check::all(&fresh), Vec::new());
        assert_eq!(fresh.refreshed(&shop), (fresh.clone(), Vec::new()));
    }
}
