//! Keys.

use egui::{Context, Event, Key, KeyboardShortcut, Modifiers};

/// The keys a text like "Ctrl+Shift+Z" stands for; `Ctrl` is the platform's command key. `None` for an empty text or a
/// key that does not exist.
pub(crate) fn shortcut(text: &str) -> Option<KeyboardShortcut> {
    let mut modifiers = Modifiers::NONE;
    let mut key = None;
    // "Ctrl++" is Ctrl and the plus key.
    let parts: Vec<&str> = match text.strip_suffix("++") {
        Some(front) => front.split('+').chain(["Plus"]).collect(),
        None => text.split('+').collect(),
    };
    for part in parts {
        match part {
            "Ctrl" => modifiers |= Modifiers::COMMAND,
            "Shift" => modifiers |= Modifiers::SHIFT,
            "Alt" => modifiers |= Modifiers::ALT,
            word => key = Some(Key::from_name(word)?),
        }
    }
    Some(KeyboardShortcut::new(modifiers, key?))
}

/// Keys that type text or move within it, unless a modifier makes a command of them: not for shortcuts while somebody
/// types.
pub(crate) fn belongs_to_typing(keys: KeyboardShortcut) -> bool {
    let command = keys.modifiers.command || keys.modifiers.ctrl || keys.modifiers.mac_cmd;
    !command || matches!(keys.logical_key, Key::A | Key::Z | Key::X | Key::C | Key::V)
}

/// Takes all that comes from the keyboard out of this frame's events, from the given one on; returns the text typed.
pub(crate) fn take_typed(ctx: &Context, from: usize) -> String {
    let mut typed = String::new();
    ctx.input_mut(|i| {
        let mut nth = 0;
        i.events.retain(|e| {
            nth += 1;
            if nth <= from {
                return true;
            }
            match e {
                Event::Text(text) | Event::Paste(text) => typed.push_str(text),
                Event::Key { key: Key::Backspace, pressed: true, .. } => drop(typed.pop()),
                Event::Key { .. } | Event::Cut | Event::Copy | Event::Ime(_) => {}
                _ => return true,
            }
            false
        });
    });
    typed
}

/// The next press of a key at or after an event's number.
pub(crate) fn next_press(ctx: &Context, from: usize) -> Option<(usize, Key, Modifiers)> {
    ctx.input(|i| {
        i.events.iter().enumerate().skip(from).find_map(|(n, e)| match e {
            Event::Key { key, pressed: true, modifiers, .. } => Some((n, *key, *modifiers)),
            _ => None,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_read_as_keys() {
        let keys = |t| shortcut(t).map(|k| (k.modifiers, k.logical_key));
        assert_eq!(keys("Ctrl+Shift+Z"), Some((Modifiers::COMMAND | Modifiers::SHIFT, Key::Z)));
        assert_eq!(keys("R"), Some((Modifiers::NONE, Key::R)));
        assert_eq!(keys("Escape"), Some((Modifiers::NONE, Key::Escape)));
        assert_eq!(keys("Ctrl++"), Some((Modifiers::COMMAND, Key::Plus)));
        assert_eq!(keys("PageDown"), Some((Modifiers::NONE, Key::PageDown)));
        assert_eq!(keys(""), None);
        assert_eq!(keys("Ctrl+Nonsense"), None);
    }
}
