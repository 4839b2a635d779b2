//! What the strip says in words.

use super::layer_at::layer_at;
use crate::{
    document::Recipe,
    estimate::{PlateEstimate, TRIED_S, minimum_tried},
    words,
};

/// "6.1 s", "2 min 05 s" above 90 s; a dash for what is not a number.
pub(super) fn seconds(s: f64) -> String {
    if !s.is_finite() {
        return "–".to_owned();
    }
    if s <= 90.0 {
        return format!("{s:.1} s");
    }
    let whole = s.round() as u64;
    if whole < 3600 {
        format!("{} min {:02} s", whole / 60, whole % 60)
    } else {
        format!("{} h {:02} min", whole / 3600, whole % 3600 / 60)
    }
}

/// "headroom at 34.2 mm: 0.41 · takes 6.1 s at full speed, needs 14.9 s, slowed to 10.0 s · decided by the minimum speed, 4.9 s too short to cool · 4
/// copies growing".
pub(super) fn words(estimate: &PlateEstimate, cursor_mm: Option<f64>) -> String {
    let layers = &estimate.layers;
    let Some(z) = cursor_mm else {
        let least = layers.iter().filter_map(|l| Some((l.headroom?, l.top_mm))).min_by(|a, b| a.0.total_cmp(&b.0));
        return match least {
            Some((h, z)) => format!("least headroom {h:.2}, at {z:.1} mm · click to see the sections at a height"),
            None => "no minimum layer time · click to see the sections at a height".into(),
        };
    };
    let Some(layer) = layer_at(layers, z) else { return format!("{z:.1} mm: above all copies") };
    let growing = layer.copies.len();
    let who = format!("{} growing", words::copies(growing));
    let mut words = match (layer.headroom, layer.minimum_s) {
        (Some(h), Some(m)) => {
            let (takes, needs) = (seconds(layer.natural_s), seconds(m));
            format!("headroom at {z:.1} mm: {h:.2} · takes {takes} at full speed, needs {needs}")
        }
        _ => format!("at {z:.1} mm: {}, no minimum layer time", seconds(layer.natural_s)),
    };
    if layer.slowing_s > 0.05 {
        words = format!("{words}, slowed to {}", seconds(layer.time_s - layer.waiting_s));
    }
    format!("{words} · decided by {} · {who}", layer.limit_words())
}

/// What other minimum layer times would give: "minimum layer time of 5 s 38 min, 10 s 1 h 02 min, 15 s 1 h 31 min (12 min unserved)".
pub(crate) fn tried(estimate: &PlateEstimate, recipe: &Recipe) -> String {
    let told: Vec<String> = TRIED_S
        .iter()
        .map(|&minimum_s| {
            let t = minimum_tried(estimate, recipe, minimum_s);
            let left = words::time(t.unserved_s);
            let unserved = if t.unserved_s < 0.5 { String::new() } else { format!(" ({left} unserved)") };
            format!("{minimum_s} s {}{unserved}", words::time(t.time_s))
        })
        .collect();
    format!("minimum layer time of {}", told.join(", "))
}

#[cfg(test)]
mod tests {
    use super::{super::layer_at::layer, *};
    use crate::estimate::{Filament, Items, PathLength, TourPlan};

    #[test]
    fn more_than_90_seconds_are_minutes() {
        assert_eq!([20.5, 90.0, 125.0, 7260.0].map(seconds), ["20.5 s", "90.0 s", "2 min 05 s", "2 h 01 min"]);
        assert_eq!(seconds(f64::NAN), "–");
    }

    #[test]
    fn the_layer_at_the_cursor_is_told_with_what_decides_its_time() {
        let mut layers: Vec<_> = (1..=10).map(|i| layer(f64::from(i) * 0.2, 20.0)).collect();
        let l = &mut layers[4];
        (l.natural_s, l.headroom, l.slowing_s, l.unserved_s, l.time_s) = (6.0, Some(0.4), 4.0, 5.0, 10.0);
        let estimate = PlateEstimate {
            time_s: 190.0,
            filament: Filament::default(),
            heads: 1,
            path: PathLength::default(),
            items: Items::default(),
            layers,
            arrivals_s: Vec::new(),
            slack_s: vec![4.0; 10],
            tours: TourPlan::default(),
        };
        assert_eq!(
            words(&estimate, Some(0.9)),
            "headroom at 0.9 mm: 0.40 · takes 6.0 s at full speed, needs 15.0 s, slowed to 10.0 s · decided by the minimum speed, 5.0 s \
             too short to cool · 1 copy growing"
        );
        let told = words(&estimate, Some(1.2));
        assert!(told.ends_with("· decided by its own beads and moves · 1 copy growing"), "{told}");
        // Nine layers of 20 s and one of 6 s that can take 4 s more: at 5 s none is short, at 10 s the one is slowed, at 15 s some is left.
        let recipe = Recipe::plain(crate::document::RecipeId(1));
        assert_eq!(tried(&estimate, &recipe), "minimum layer time of 5 s 3 min, 10 s 3 min, 15 s 3 min (5 s unserved)");
        assert!(words(&estimate, None).starts_with("least headroom 0.40, at 1.0 mm"));
    }
}
