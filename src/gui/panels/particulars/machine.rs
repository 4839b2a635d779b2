//! A machine's numbers.

use egui::{RichText, Ui};

use super::{
    lines,
    numbers::{self, Number, number},
};
use crate::{
    document::{BedShape, Carriages, KeepOut, Machine, MachineId, limits},
    geom::{Bounds, Point},
    gui::{
        theme::Theme,
        widgets::{Choice, NumberField, Rule, TextField, Unit, line, link, reading},
        wish::Wish,
    },
    session::{Action, Session},
};

/// The strip between two carriages before anybody has said how wide it is, mm.
const STRIP_MM: f64 = 20.0;

const NUMBERS: [Number<Machine>; 5] = [
    number("usable height", Unit::Mm, (limits::HEIGHT, 5.0), "Tallest part that fits", |m| &mut m.height_mm),
    number(
        "edge of this bed",
        Unit::Mm,
        (limits::BED_EDGE, 0.5),
        "For this bed. The larger of this and the job's margin applies",
        |m| &mut m.edge_mm,
    ),
    number("filament diameter", Unit::Mm, (limits::FILAMENT, 0.05), "", |m| &mut m.filament_mm),
    number("heat-up time", Unit::Seconds, (limits::HEAT_UP, 10.0), "Before the first layer", |m| &mut m.heat_up_s),
    number("closing time", Unit::Seconds, (limits::END, 10.0), "From the last layer to the end of the program", |m| {
        &mut m.end_s
    }),
];

/// Shows a machine of the job.
pub(super) fn show(ui: &mut Ui, session: &Session, id: Option<MachineId>, wishes: &mut Vec<Wish>) {
    let Some(old) = id.and_then(|id| session.job().machine(id)) else { return };
    let mut m = old.clone();
    let key = m.id;
    lines::word(ui, "name", "machine name", key, &mut m.name);
    lines::word(ui, "bed surface", "bed surface", key, &mut m.surface);
    bed(ui, &mut m);
    numbers::show(ui, key, &mut m, &NUMBERS);
    line(ui, "dwell G4 P counts", Rule::None, |ui| {
        let word = |seconds| if seconds { "seconds" } else { "milliseconds" };
        let choices = [false, true].map(|s| (s, word(s).to_owned()));
        let tip = "The unit of the number after P in the dwell command G4, as this machine reads it";
        let choice = Choice::new("dwell G4 P counts", word(m.dwells_in_seconds)).of(key).tooltip(tip);
        if let Some(seconds) = choice.show(ui, choices) {
            m.dwells_in_seconds = seconds;
        }
    });
    carriages(ui, &mut m);
    keep_outs(ui, &mut m);
    if m != *old {
        wishes.push(Action::SetMachine(Box::new(m)).into());
    }
    ui.horizontal(|ui| {
        if link(ui, "New machine like this", false).clicked() {
            let name = format!("{} (2)", old.name);
            wishes.push(Action::AddMachine(Box::new(Machine { name, ..old.clone() })).into());
        }
        let remove = Action::RemoveMachine(old.id);
        if session.job().machines.len() > 1 && link(ui, remove.name(), false).clicked() {
            wishes.push(remove.into());
        }
    });
}

fn bed(ui: &mut Ui, m: &mut Machine) {
    let (width_mm, depth_mm) = m.bed.size_mm();
    let word = match m.bed {
        BedShape::Rectangle { .. } => "rectangle",
        BedShape::Round { .. } => "round",
        BedShape::Polygon { .. } => "polygon",
    };
    let key = m.id;
    line(ui, "bed", Rule::None, |ui| {
        let choices = [
            (BedShape::Rectangle { width_mm, depth_mm }, "rectangle".to_owned()),
            (BedShape::Round { diameter_mm: width_mm.min(depth_mm) }, "round".to_owned()),
        ];
        if let Some(shape) = Choice::new("bed", word).of(key).show(ui, choices) {
            m.bed = shape;
        }
    });
    let length = |ui: &mut Ui, label: &str, value: &mut f64| {
        line(ui, label, Rule::None, |ui| {
            let field = NumberField::new(label, *value, Unit::Mm).allowed(limits::BED_WIDTH).step(5.0).of(key);
            if let Some(v) = field.show(ui) {
                *value = v;
            }
        });
    };
    match &mut m.bed {
        BedShape::Rectangle { width_mm, depth_mm } => {
            length(ui, "bed width", width_mm);
            length(ui, "bed depth", depth_mm);
        }
        BedShape::Round { diameter_mm } => length(ui, "bed diameter", diameter_mm),
        BedShape::Polygon { outline } => {
            reading(ui, "corners", &outline.len().to_string());
        }
    }
}

/// One carriage or two, and the strip between them.
fn carriages(ui: &mut Ui, m: &mut Machine) {
    let key = m.id;
    line(ui, "carriages", Rule::None, |ui| {
        let word = |two| if two { "two on one X axis" } else { "one" };
        let choices = [false, true].map(|two| (two, word(two).to_owned()));
        let tip =
            "Two carriages with a head each, on one X axis: they share Y and Z, and can print a plate twice at once";
        let choice = Choice::new("carriages", word(m.carriages.is_some())).of(key).tooltip(tip);
        if let Some(two) = choice.show(ui, choices) {
            m.carriages = two.then_some(Carriages { strip_mm: STRIP_MM });
        }
    });
    if let Some(c) = &mut m.carriages {
        line(ui, "strip between them", Rule::None, |ui| {
            let tip = "Least distance between what the two print: nothing may lie in this strip";
            let field = NumberField::new("strip between them", c.strip_mm, Unit::Mm).allowed(limits::STRIP).step(5.0);
            if let Some(v) = field.tooltip(tip).of(key).show(ui) {
                c.strip_mm = v;
            }
        });
    }
}

/// Areas to keep free: name and box of each.
fn keep_outs(ui: &mut Ui, m: &mut Machine) {
    let theme = Theme::of(ui.visuals());
    let (width, depth) = m.bed.size_mm();
    let key = m.id;
    let mut gone = None;
    for (i, k) in m.keep_outs.iter_mut().enumerate() {
        let name = k.name.clone();
        line(ui, &format!("keep-out {}", i + 1), Rule::None, |ui| {
            if link(ui, "remove", false).accessible_name(format!("remove keep-out {name}")).clicked() {
                gone = Some(i);
            }
            let field = TextField::new("keep-out name", &k.name).width(110.0).of((key, i));
            if let Some(name) = field.show(ui) {
                k.name = name;
            }
        });
        corner(ui, (key, i), k);
    }
    if let Some(i) = gone {
        m.keep_outs.remove(i);
    }
    if m.keep_outs.is_empty() {
        ui.label(RichText::new("No keep-outs on this bed.").small().color(theme.faint));
    }
    if link(ui, "Add keep-out", false).clicked() {
        let b = Bounds::new(Point::default(), Point::new((width * 0.1).round(), (depth * 0.1).round()));
        m.keep_outs.push(KeepOut { name: "clip".into(), outline: b.corners().to_vec() });
    }
}

/// A keep-out's box as four numbers; one of another shape is only moved.
fn corner(ui: &mut Ui, key: (MachineId, usize), k: &mut KeepOut) {
    let b = Bounds::of(k.outline.iter().copied());
    if b.is_empty() {
        return;
    }
    let is_box = k.outline.len() == 4 && b.corners().iter().all(|c| k.outline.contains(c));
    let mut to = b;
    let pair = |ui: &mut Ui, label: &str, values: [(&str, f64); 2]| -> [Option<f64>; 2] {
        line(ui, label, Rule::None, |ui| {
            let mut taken = [None, None];
            for (i, (name, value)) in values.into_iter().enumerate().rev() {
                let least = if label == "size" { 0.1 } else { -1e4 };
                let field = NumberField::new(name, value, Unit::Mm).range(least, 1e4).width(76.0).of(key);
                taken[i] = field.show(ui);
            }
            taken
        })
    };
    let [x, y] = pair(ui, "corner", [("keep-out X", b.min.x), ("keep-out Y", b.min.y)]);
    let by = Point::new(x.map_or(0.0, |x| x - b.min.x), y.map_or(0.0, |y| y - b.min.y));
    to = to.moved(by);
    if is_box {
        let [w, d] = pair(ui, "size", [("keep-out width", b.width()), ("keep-out depth", b.height())]);
        to.max.x += w.map_or(0.0, |w| w - b.width());
        to.max.y += d.map_or(0.0, |d| d - b.height());
        if to != b {
            k.outline = to.corners().to_vec();
        }
    } else if by != Point::default() {
        for p in &mut k.outline {
            *p += by;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_take_what_the_table_allows() {
        let one = Machine::rectangular(MachineId(1), "Bench 1", 200.0, 200.0, 180.0);
        numbers::tests::take_what_is_allowed(&one, &NUMBERS, limits::MACHINE);
    }
}
