//! A plain first layout: each copy in its own box, in rows, on the first plate of its kind with room. Valid and loose; there is
//! something left for Pack to do. It owes nothing to the program's own arranger, so the sample does not change with it.

use stonehand::document::{BedShape, Copy, CopyId, Footing, Job, Machine, Part, Plate, PlateId};

/// Step between places tried, mm.
const STEP: f64 = 1.0;

/// A box on a bed: from x, from y, to x, to y.
type Frame = [f64; 4];

fn grown(f: Frame, by: f64) -> Frame {
    [f[0] - by, f[1] - by, f[2] + by, f[3] + by]
}

fn apart(a: Frame, b: Frame) -> bool {
    a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1]
}

/// A box round a part's shadow and footing, and the largest margin any pair of copies needs between such boxes.
struct Piece<'a> {
    part: &'a Part,
    width: f64,
    depth: f64,
}

/// The first free place for a piece on a machine's bed, among boxes taken already.
fn place(machine: &Machine, edge: f64, gap: f64, taken: &[Frame], piece: &Piece<'_>) -> Option<Frame> {
    let (width, depth) = machine.bed.size_mm();
    let steps = |room: f64| (0..=((room - 2.0 * edge) / STEP).max(0.0) as usize).map(move |i| edge + i as f64 * STEP);
    let keep_outs: Vec<Frame> = machine
        .keep_outs
        .iter()
        .map(|k| {
            k.outline.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |f, p| {
                [f[0].min(p.x), f[1].min(p.y), f[2].max(p.x), f[3].max(p.y)]
            })
        })
        .collect();
    let on_bed = |f: Frame| match machine.bed {
        BedShape::Round { diameter_mm } => {
            let r = diameter_mm / 2.0;
            let corners = [(f[0], f[1]), (f[2], f[1]), (f[2], f[3]), (f[0], f[3])];
            corners.iter().all(|(x, y)| (x - r).hypot(y - r) <= r - edge)
        }
        _ => f[0] >= edge && f[1] >= edge && f[2] <= width - edge && f[3] <= depth - edge,
    };
    steps(depth).flat_map(|y| steps(width).map(move |x| [x, y, x + piece.width, y + piece.depth])).find(|&f| {
        on_bed(f) && keep_outs.iter().all(|&k| apart(f, k)) && taken.iter().all(|&t| apart(grown(f, gap), t))
    })
}

/// Puts every ordered copy on a plate; `sizes` are the parts' widths and depths, in the order's order.
pub(crate) fn lay_out(job: &mut Job, sizes: &[[f64; 2]]) -> Result<(), super::Failure> {
    let gap = job.margins.gap_mm.max(job.margins.footing_gap_mm);
    let parts = job.parts.clone();
    let mut taken: Vec<Vec<Frame>> = Vec::new();
    for (part, size) in parts.iter().zip(sizes) {
        let reach = match part.footing {
            Footing::Bare => 0.0,
            // A little more than its width: outlines are drawn a little outside.
            footing => footing.width_mm() + 0.1,
        };
        let piece = Piece { part, width: size[0] + 2.0 * reach, depth: size[1] + 2.0 * reach };
        for number in 1..=part.wanted {
            let frame = on_a_plate(job, &mut taken, gap, &piece).ok_or("a part fits on no bed")?;
            let id = CopyId(job.next_id);
            job.next_id += 1;
            let copy = Copy {
                id,
                part: part.id,
                number,
                x_mm: f64::midpoint(frame.1[0], frame.1[2]),
                y_mm: f64::midpoint(frame.1[1], frame.1[3]),
                turn_deg: 0.0,
                locked: false,
                footing: None,
            };
            job.plates[frame.0].copies.push(copy);
        }
    }
    for part in &mut job.parts {
        part.next_number = part.wanted + 1;
    }
    Ok(())
}

/// A place on a plate of the piece's kind, or on a new plate of the machine whose turn it is.
fn on_a_plate(job: &mut Job, taken: &mut Vec<Vec<Frame>>, gap: f64, piece: &Piece<'_>) -> Option<(usize, Frame)> {
    for (i, plate) in job.plates.iter().enumerate() {
        let machine = job.machine(plate.machine)?;
        if job.belongs(piece.part, plate)
            && let Some(f) = place(machine, job.edge_mm(machine), gap, &taken[i], piece)
        {
            taken[i].push(f);
            return Some((i, f));
        }
    }
    let count = job.machines.len();
    for turn in 0..count {
        let machine = &job.machines[(job.plates.len() + turn) % count];
        let Some(f) = place(machine, job.edge_mm(machine), gap, &[], piece) else { continue };
        let plate = Plate {
            id: PlateId(job.next_id),
            machine: machine.id,
            material: piece.part.material,
            colour: piece.part.colour.clone(),
            recipe: piece.part.recipe,
            spool: None,
            twin: None,
            twin_spool: None,
            run: stonehand::document::RunState::default(),
            copies: Vec::new(),
        };
        job.next_id += 1;
        job.plates.push(plate);
        taken.push(vec![f]);
        return Some((job.plates.len() - 1, f));
    }
    None
}
