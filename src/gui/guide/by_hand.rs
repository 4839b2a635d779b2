//! Keys and gestures that are in no menu.

use super::section::Place;

/// Where, which keys, and what they do.
pub(super) const BY_HAND: [(Place, &str, &str); 21] = [
    (Place::Window, "F10, Alt + first letter", "Open a menu; the arrow keys walk through it"),
    (Place::Window, "Tab, Shift + Tab", "Next field or button, previous one"),
    (Place::Window, "Enter, Space", "Press what has the focus; Enter takes what was typed"),
    (
        Place::Window,
        "Escape",
        "End a drag, a tool, a search; close what lies over the window; bring back what was typed over",
    ),
    (Place::Window, "PageUp, PageDown in this guide", "Scroll"),
    (Place::Sheet, "Arrows", "Move by 1 mm; with Shift 10 mm, with Alt 0.1 mm"),
    (Place::Sheet, "Drag with Shift", "Move along one axis; turn by 45°"),
    (Place::Sheet, "Drop with Ctrl", "Others make room for what was dragged"),
    (Place::Sheet, "Drop with Alt", "What was dragged goes to the nearest free place"),
    (Place::Sheet, "Shift or Ctrl + click", "Add to what is selected"),
    (Place::Sheet, "Wheel", "Zoom in or out at the pointer"),
    (Place::Sheet, "Middle button, Space + drag, two fingers", "Pan the sheet"),
    (Place::Strip, "Left, Right", "Move the height cursor by a layer; with Shift by ten"),
    (Place::Strip, "Ctrl + wheel, Plus, Minus", "Zoom the height strip"),
    (Place::Strip, "Double click", "Show the whole height"),
    (Place::Timeline, "Arrows on a bar", "Go to the next bar"),
    (Place::Timeline, "Alt + arrows on a bar", "Move the plate earlier, later, to another machine"),
    (Place::Timeline, "Enter on a bar", "Select its plate; once more, open it on the sheet"),
    (Place::Timeline, "Left, Right beside the bars", "Pan"),
    (Place::Timeline, "Ctrl + wheel, Plus, Minus", "Zoom"),
    (Place::Timeline, "Double click beside the bars", "Show the whole plan"),
];
