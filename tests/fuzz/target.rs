//! What is tried: one target for each way in, and what must hold afterwards whatever the input.

use stonehand::{
    document::{Recipe, RecipeId, file},
    estimate::gauge::{Basis, DwellUnit, measure},
    formats::read::mesh_file,
    geom::boolean,
    mesh::{contact, hull_faces, report, section, shadow, split_bodies},
    watch::Quiet,
    work::{kept_profile, profile_bytes},
};

use super::{
    dice::Dice,
    mutate,
    seeds::{JOB, Seeds, copy_of},
    session,
};

/// A way in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Target {
    /// STL of both kinds.
    Stl,
    /// OBJ.
    Obj,
    /// 3MF: the model inside, or the package.
    Package,
    /// Job files.
    Job,
    /// Shop files.
    Shop,
    /// Machine code.
    Code,
    /// Profiles kept between runs.
    Profile,
    /// A job opened, checked, estimated, packed, topped up and exported.
    Route,
    /// Anything a person can do, in any order.
    Actions,
}

impl Target {
    pub(crate) const ALL: [Self; 9] = [
        Self::Stl,
        Self::Obj,
        Self::Package,
        Self::Job,
        Self::Shop,
        Self::Code,
        Self::Profile,
        Self::Route,
        Self::Actions,
    ];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Stl => "stl",
            Self::Obj => "obj",
            Self::Package => "3mf",
            Self::Job => "job",
            Self::Shop => "shop",
            Self::Code => "code",
            Self::Profile => "profile",
            Self::Route => "route",
            Self::Actions => "actions",
        }
    }

    /// An input.
    pub(crate) fn make(self, seeds: &Seeds, dice: &mut Dice) -> Vec<u8> {
        let changed = |dice: &mut Dice, all: &[Vec<u8>]| {
            let (one, other) = (dice.below(all.len()), dice.below(all.len()));
            mutate::bytes(dice, &all[one], &all[other])
        };
        match self {
            Self::Stl => changed(dice, &seeds.stl),
            Self::Obj => changed(dice, &seeds.obj),
            Self::Package => {
                if dice.one_in(6) {
                    changed(dice, &seeds.packages)
                } else {
                    let model = changed(dice, &seeds.models);
                    super::fixtures::package(&[("3D/3dmodel.model", &model)])
                }
            }
            Self::Job | Self::Shop => {
                let all = if self == Self::Job { &seeds.jobs } else { &seeds.shops };
                if dice.one_in(3) {
                    changed(dice, all)
                } else {
                    let one = dice.below(all.len());
                    mutate::json(dice, &all[one], true)
                }
            }
            Self::Code => changed(dice, &seeds.code),
            Self::Profile => {
                let body: Vec<u8> =
                    (0..dice.below(200)).map(|_| if dice.one_in(3) { 0xff } else { dice.next() as u8 }).collect();
                body
            }
            Self::Route => {
                let one = if dice.one_in(12) { seeds.jobs.len() - 1 } else { dice.below(seeds.jobs.len() - 1) };
                let wild = dice.one_in(4);
                mutate::json(dice, &seeds.jobs[one], wild)
            }
            Self::Actions => dice.next().to_string().into_bytes(),
        }
    }

    /// Runs a case. What must hold and does not is an error; a panic is found by whoever calls.
    pub(crate) fn run(self, seeds: &Seeds, input: &[u8]) -> Result<(), String> {
        match self {
            Self::Stl => mesh("a.stl", input),
            Self::Obj => mesh("a.obj", input),
            Self::Package => mesh("a.3mf", input),
            Self::Job => {
                let Ok(job) = file::read(input, "a.stonehand") else { return Ok(()) };
                let again = file::write(&job).map_err(|e| format!("a job that was read cannot be written: {e}"))?;
                let back =
                    file::read(&again, "a.stonehand").map_err(|e| format!("what was written cannot be read: {e}"))?;
                if back == job { Ok(()) } else { Err("a job changes by being saved".into()) }
            }
            Self::Shop => {
                let Ok(shop) = file::read_shop(input, "a.stonehand-shop") else { return Ok(()) };
                let again =
                    file::write_shop(&shop).map_err(|e| format!("a shop that was read cannot be written: {e}"))?;
                let back = file::read_shop(&again, "a.stonehand-shop")
                    .map_err(|e| format!("what was written cannot be read: {e}"))?;
                if back == shop { Ok(()) } else { Err("a shop changes by being saved".into()) }
            }
            Self::Code => code(input),
            Self::Profile => {
                let Some(profile) = kept_profile(&[7; 32], &kept(input)) else { return Ok(()) };
                profile_bytes(&[7; 32], &profile)
                    .map(drop)
                    .ok_or_else(|| "a profile that was read cannot be kept".into())
            }
            Self::Route => {
                let files = copy_of(&seeds.files);
                files.put(JOB, input.to_vec());
                session::route(&files)
            }
            Self::Actions => {
                let seed = std::str::from_utf8(input).ok().and_then(|t| t.trim().parse().ok()).unwrap_or(0);
                session::actions(seeds, &mut Dice::new(seed))
            }
        }
    }
}

/// Bytes with the mark, key and checksum of a kept profile, so that they get past those.
fn kept(body: &[u8]) -> Vec<u8> {
    use sha2::Digest;
    let mut all = [b"SHprofil".as_slice(), &[7; 32], body].concat();
    let sum = sha2::Sha256::digest(&all);
    all.extend_from_slice(&sum);
    all
}

/// A mesh file, and everything that is done with what is in it.
fn mesh(name: &str, input: &[u8]) -> Result<(), String> {
    let Ok(read) = mesh_file(name, input) else { return Ok(()) };
    for o in read.objects.iter().take(20) {
        if o.mesh.triangles.iter().flatten().any(|&v| v as usize >= o.mesh.vertices.len()) {
            return Err("a triangle names no vertex".into());
        }
        if o.mesh.vertices.iter().flatten().any(|c| !c.is_finite()) {
            return Err("a coordinate is no number".into());
        }
        let bounds = o.mesh.bounds().ok_or("an object without bounds")?;
        let _ = report(&o.mesh).with(&o.faults);
        let (shadow, contact) = (shadow(&o.mesh), contact(&o.mesh, 0.2));
        if !(shadow.area().is_finite() && contact.area().is_finite()) {
            return Err("an area is no number".into());
        }
        let _ = section(&o.mesh, 0.5 * (bounds[0][2] + bounds[1][2]));
        let _ = boolean::difference(&contact, &shadow);
        let _ = hull_faces(&o.mesh);
        let _ = split_bodies(&o.mesh);
    }
    Ok(())
}

fn code(input: &[u8]) -> Result<(), String> {
    let recipe = Recipe::plain(RecipeId(0));
    let basis = Basis::of(&recipe, DwellUnit::default()).map_err(|e| e.to_string())?;
    let Ok(m) = measure(&mut std::io::Cursor::new(input), input.len() as u64, &basis, &Quiet) else { return Ok(()) };
    let _ = (m.remarks(), m.assumptions());
    let numbers = [m.time_s(), m.filament_mm, m.bead_mm, m.travel_mm, m.before_s, m.after_s];
    let layers = m.layers.iter().flat_map(|l| [l.time_s, l.z_mm, l.bead_mm, l.filament_mm]);
    if numbers.into_iter().chain(layers).all(f64::is_finite) && m.time_s() >= 0.0 {
        Ok(())
    } else {
        Err(format!("a measurement is no number: {numbers:?}"))
    }
}
