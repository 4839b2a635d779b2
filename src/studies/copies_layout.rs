//! Where the copies of a copies study lie.

use std::sync::Arc;

use super::{
    CopiesWay, LaidCopy, StudyError,
    compact::{Place, compact_order},
    copies_found::Found,
    filling::Filling,
};
use crate::{
    document::{Job, Plate, PlateId, RunState, Twin},
    geom::{Outline, Point, boolean},
    packing::{self, Aim, Layout, Problem},
    plate::{self, Prepared, Shapes},
};

/// More copies than this are not studied.
pub(super) const MOST_STUDIED: usize = 300;

/// The search for a plate filled with the part.
pub(super) struct Fill {
    problem: Problem,
    begin: Point,
}

impl Fill {
    /// The empty plate of the part's kind. One after another, the head must pass clear of what stands finished: copies, their footings
    /// counted, keep its reach and the gap apart. As a twin, copies lie in the left half.
    pub(super) fn new(found: &Found<'_>, way: CopiesWay) -> Result<Self, StudyError> {
        let Found { job, part, machine, studied, .. } = *found;
        let plate = Plate {
            id: PlateId(u32::MAX),
            machine: machine.id,
            material: part.material,
            colour: part.colour.clone(),
            recipe: part.recipe,
            spool: None,
            twin: (way == CopiesWay::Twin).then_some(Twin::Shifted),
            twin_spool: None,
            run: RunState::default(),
            copies: Vec::new(),
        };
        let (shapes, id) = (Shapes::from([(part.id, studied.shape.clone())]), plate.id);
        let job = Job { parts: vec![part.clone()], plates: vec![plate], ..job.clone() };
        let task = plate::top_up_task(&job, &[id], Some(part.id), None, false, &shapes, &Prepared::new())?;
        let mut problem = task.problem;
        if let Aim::TopUp { at_most, .. } = &mut problem.aim {
            for most in at_most {
                *most = (*most).min(MOST_STUDIED);
            }
        }
        if let (CopiesWay::InTurn, Some(head)) = (way, machine.head) {
            problem.gap_mm = job.margins.gap_mm.max(0.0) + head.radius_mm;
            for shape in &mut problem.shapes {
                shape.shadow = Outline::new(boolean::union([shape.shadow.region(), shape.footing.region()]));
            }
        }
        let begin = problem.beds.first().map_or(Point::default(), |b| b.room.bounds().centre());
        Ok(Self { problem, begin })
    }

    /// The first layout, which is quick.
    pub(super) fn first(&self, seed: u64, filling: &Filling<'_>) -> Layout {
        packing::solve(&self.problem, seed, Some(0), &Filling { until: None, ..*filling })
    }

    /// A layout of as many copies as are found; no fewer than there are in `first`.
    pub(super) fn full(&self, first: &Layout, seed: u64, rounds: Option<u64>, filling: &Filling<'_>) -> Layout {
        let now = Some(first).filter(|l| l.count() > 0);
        packing::solve_from(&self.problem, now, seed, rounds, filling)
    }

    /// The copies of a layout in such an order that the first n of them lie close together, for every n.
    pub(super) fn ordered(&self, found: &Found<'_>, layout: &Layout) -> Arc<[LaidCopy]> {
        let items: Vec<_> = layout.beds.iter().flatten().collect();
        // Outlines need not lie round their origin: places are compared by their middles.
        let middle = found.studied.shape.shadow.bounds().centre();
        let places: Vec<Place> = items.iter().map(|i| Place { at: i.at.apply(middle), kind: 0 }).collect();
        let order = compact_order(&places, &[1.0], &[], self.begin);
        let laid =
            |i: usize| LaidCopy { part: found.part.id, copy: None, footing: found.part.footing, at: items[i].at };
        order.into_iter().take(MOST_STUDIED).map(laid).collect()
    }
}
