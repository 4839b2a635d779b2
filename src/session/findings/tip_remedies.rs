//! What else helps against tipping over, beside another footing.

use crate::{
    document::{Job, Plate},
    finding::Remedy,
    session::{PartStanding, Session},
    stability::PoseChoice,
};

/// A pose counts as clearly better when its margin is at least so many times the present one, and reaches what is wanted. Our own choice,
/// no source.
const CLEARLY: f64 = 1.5;
const WANTED: f64 = 1.0;
/// More copies than this are not moved one by one: a plate of their own does more.
const FEW: usize = 6;

/// What else helps copies that could tip over, the best first.
pub(super) fn more(session: &Session, job: &Job, p: &Plate, s: &PartStanding, strikes: bool) -> Vec<Remedy> {
    let mut all = Vec::new();
    match session.poses(s.part) {
        Some(ranked) => {
            if let Some(choice) = better(ranked, s.judged.judgement.margin()) {
                let PoseChoice { normal, height_mm, margin, .. } = *choice;
                all.push(Remedy::LayDown { part: s.part, normal, height_mm, margin });
            }
        }
        None if job.part(s.part).is_some_and(|part| session.solid(part).is_some()) => {
            all.push(Remedy::RankPoses { part: s.part });
        }
        None => {}
    }
    let free = |id| p.copies.iter().any(|c| c.id == id && !c.locked);
    if strikes && s.copies.len() <= FEW && s.copies.iter().any(|id| free(*id)) {
        all.push(Remedy::MoveOutOfReach { copies: s.copies.clone() });
    }
    if p.copies.len() > s.copies.len() && s.copies.iter().all(|id| free(*id)) {
        all.push(Remedy::MoveToNewPlate { copies: s.copies.clone() });
    }
    all
}

/// The best of the ranked poses that stands clearly firmer than the present one.
fn better(ranked: &[PoseChoice], margin: f64) -> Option<&PoseChoice> {
    let is_present = |c: &PoseChoice| c.normal[2] < -1.0 + 1e-9;
    ranked.iter().find(|c| !is_present(c) && c.is_balanced && c.margin >= (CLEARLY * margin).max(WANTED))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_clearly_firmer_pose_is_offered() {
        let pose = |normal: [f64; 3], margin: f64| PoseChoice {
            normal,
            face_mm2: 1.0,
            contact_mm2: 1.0,
            modulus_mm3: 1.0,
            height_mm: 10.0,
            layers: 50,
            overhang_mm2: 0.0,
            size_mm: [1.0, 1.0],
            is_balanced: true,
            margin,
            score: 0.5,
        };
        let ranked = [pose([0.0, 0.0, -1.0], 9.0), pose([1.0, 0.0, 0.0], 0.9), pose([0.0, 1.0, 0.0], 1.2)];
        assert_eq!(better(&ranked, 0.5).map(|c| c.margin), Some(1.2));
        // Firmer, but not clearly; and one that leans over its contact.
        assert!(better(&ranked, 0.9).is_none());
        let leaning = PoseChoice { is_balanced: false, ..pose([1.0, 0.0, 0.0], 9.0) };
        assert!(better(&[leaning], 0.1).is_none());
    }
}
