//! One way to lay a part down.

use crate::{stability::margin_words, words};

/// One way to lay a part down, with what speaks for and against it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoseChoice {
    /// The direction, in the mesh as it came, that points down then: what `Pose::laid_on` takes. A unit vector.
    pub normal: [f64; 3],
    /// Area of the hull's face, mm²; 0 where it lies on none. Larger than the contact where the part stands on feet.
    pub face_mm2: f64,
    /// Area of the contact at half the first layer, mm².
    pub contact_mm2: f64,
    /// Least section modulus of the contact, mm³.
    pub modulus_mm3: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// Layers.
    pub layers: usize,
    /// Area, in plan, of undersides that need support, mm². What lies inside overlapping shells, or over one another, counts each time.
    pub overhang_mm2: f64,
    /// Long and short side of the least rectangle round it in plan, mm.
    pub size_mm: [f64; 2],
    /// The centre of mass lies over the hull of the contact.
    pub is_balanced: bool,
    /// Margin at the top without a footing: the smaller of balance and push, as [`crate::stability::judge`] has them.
    pub margin: f64,
    /// 0 to 1, see [`super::SCORE_WEIGHTS`].
    pub score: f64,
}

impl PoseChoice {
    /// "200 mm² of contact, 5.0 mm high (25 layers), no overhang, 20 × 10 mm on the bed, margin bare 1.3".
    pub fn words(&self) -> String {
        let overhang = if self.overhang_mm2 < 0.5 {
            "no overhang".to_owned()
        } else {
            format!("{:.0} mm² of overhang", self.overhang_mm2)
        };
        let contact = self.contact_mm2;
        let contact = if contact < 9.95 { format!("{contact:.1}") } else { format!("{contact:.0}") };
        let layers = words::count(self.layers, "layer");
        let [long, short] = self.size_mm;
        let margin = margin_words(self.margin);
        format!(
            "{contact} mm² of contact, {:.1} mm high ({layers}), {overhang}, {long:.0} × {short:.0} mm on the bed, margin bare {margin}",
            self.height_mm
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_in_words() {
        let mut p = PoseChoice {
            normal: [0.0, 0.0, -1.0],
            face_mm2: 200.0,
            contact_mm2: 200.0,
            modulus_mm3: 298.0,
            height_mm: 5.0,
            layers: 25,
            overhang_mm2: 0.0,
            size_mm: [20.0, 10.0],
            is_balanced: true,
            margin: 2.98,
            score: 0.9,
        };
        let told = "200 mm² of contact, 5.0 mm high (25 layers), no overhang, 20 × 10 mm on the bed, margin bare 2.9";
        assert_eq!(p.words(), told);
        (p.contact_mm2, p.overhang_mm2, p.layers, p.margin) = (0.44, 41.0, 1, 100.0);
        let told = "0.4 mm² of contact, 5.0 mm high (1 layer), 41 mm² of overhang, 20 × 10 mm on the bed, margin bare above 10";
        assert_eq!(p.words(), told);
    }
}
