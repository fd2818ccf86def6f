//! Every command of the window, in one list: menus, shortcuts and the list of commands are made from it.

use egui::{Key, KeyboardShortcut, Modifiers};

macro_rules! commands {
    ($($name:ident, $label:literal, $about:literal, $shortcut:expr;)*) => {
        /// Something the maker can tell the window to do.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Command { $(#[doc = $about] $name,)* }

        impl Command {
            /// Every command, in the order of the menus.
            pub const ALL: &[Command] = &[$(Command::$name,)*];

            /// What it is called; with … where it asks something first.
            pub fn label(self) -> &'static str {
                match self { $(Command::$name => $label,)* }
            }

            /// What it does, in a sentence.
            pub fn about(self) -> &'static str {
                match self { $(Command::$name => $about,)* }
            }

            /// The keys it is done by.
            pub fn shortcut(self) -> Option<KeyboardShortcut> {
                match self { $(Command::$name => $shortcut,)* }
            }
        }
    };
}

const fn keys(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers { command: true, shift: true, ..Modifiers::NONE };
const CTRL_ALT: Modifiers = Modifiers { command: true, alt: true, ..Modifiers::NONE };
const ALT: Modifiers = Modifiers::ALT;

commands! {
    New, "New toy", "Clears the table: paste a pattern, open a file or take a sample", keys(CTRL, Key::N);
    Open, "Open…", "Opens a toy or a text of written rounds", keys(CTRL, Key::O);
    OpenPath, "Open by path…", "Opens a file by its written path, where there is no file chooser", keys(CTRL_SHIFT, Key::O);
    Paste, "Paste a pattern…", "Reads written rounds from a text", keys(CTRL_SHIFT, Key::V);
    Save, "Save", "Saves the toy where it was opened from", keys(CTRL, Key::S);
    SaveAs, "Save as…", "Saves the toy in another file", keys(CTRL_SHIFT, Key::S);
    SavePath, "Save by path…", "Saves the toy by a written path, where there is no file chooser", keys(CTRL_ALT, Key::S);
    Export, "Export…", "Writes the toy on paper or as a solid: SVG, PNG, PDF, glTF, STL", keys(CTRL, Key::E);
    Quit, "Quit", "Closes the window", keys(CTRL, Key::Q);
    Undo, "Undo", "Takes back the last change", keys(CTRL, Key::Z);
    Redo, "Redo", "Does again what was taken back", keys(CTRL_SHIFT, Key::Z);
    AddPart, "Add part", "Adds a small ball beside the toy, to be changed", keys(CTRL_SHIFT, Key::N);
    DoublePart, "Copy part", "Adds the chosen part once more, under a name of its own", keys(CTRL, Key::D);
    RemovePart, "Remove part", "Takes the chosen part out of the toy", keys(CTRL_SHIFT, Key::Delete);
    DrawOutline, "Draw an outline…", "Rounds from an outline that you draw, trace or take from a shape", keys(CTRL_SHIFT, Key::D);
    InsertRound, "Insert round", "Puts an even round after the chosen one", keys(CTRL, Key::Enter);
    DeleteRound, "Delete round", "Takes the chosen round out", keys(CTRL, Key::Delete);
    RepeatRound, "Repeat round 5 times", "Works the chosen round five times more, without increases", keys(CTRL_SHIFT, Key::Enter);
    RoundUp, "Move round earlier", "Swaps the chosen round with the one before", keys(ALT, Key::ArrowLeft);
    RoundDown, "Move round later", "Swaps the chosen round with the one after", keys(ALT, Key::ArrowRight);
    MoreStitches, "One stitch more", "Adds a stitch to the chosen round", keys(ALT, Key::ArrowUp);
    FewerStitches, "One stitch fewer", "Takes a stitch from the chosen round", keys(ALT, Key::ArrowDown);
    NextRound, "Next round", "Chooses the round after", keys(CTRL, Key::ArrowRight);
    PreviousRound, "Previous round", "Chooses the round before", keys(CTRL, Key::ArrowLeft);
    NextPart, "Next part", "Chooses the part after", keys(CTRL, Key::ArrowDown);
    PreviousPart, "Previous part", "Chooses the part before", keys(CTRL, Key::ArrowUp);
    WeighIn, "Weigh in…", "Takes in what a scale or a tape says while the toy is made", keys(CTRL, Key::G);
    AnotherYarn, "Another yarn…", "Shows the toy in another yarn, or as large as the yarn allows, beside this one", keys(CTRL_SHIFT, Key::Y);
    ShowFront, "Front view", "Shows or hides the toy from the front", keys(CTRL, Key::Num1);
    ShowSide, "Side view", "Shows or hides the toy from its left", keys(CTRL, Key::Num2);
    ShowTop, "Top view", "Shows or hides the toy from above", keys(CTRL, Key::Num3);
    ShowSolid, "Solid view", "Shows or hides the toy in the round", keys(CTRL, Key::Num4);
    ShowSizes, "Sizes", "Dimension lines and a scale bar", keys(CTRL, Key::Num5);
    ShowPlumb, "Plumb line", "The line from the centre of mass to what the toy stands on", keys(CTRL, Key::Num6);
    ShowBefore, "Before stuffing", "The outline the fabric has before it is stuffed, dashed", keys(CTRL, Key::Num7);
    ShowHeads, "Heads tall", "Lines that count the height of the toy in heads", keys(CTRL, Key::Num8);
    ShowGiveTake, "Give or take", "How far the outline may move: a pale rim and a dashed line", keys(CTRL, Key::Num9);
    ShowRose, "Lean all around", "How far it leans before it falls, in every direction, over the view from above", keys(CTRL, Key::R);
    ShowLands, "How it lands", "Small figures of the ways it comes to lie when dropped; a click shows the toy so", keys(CTRL_SHIFT, Key::L);
    ShowAsMade, "As far as made", "Shows the toy as far as it is made, or whole again", keys(CTRL_SHIFT, Key::F);
    ShowMaking, "Making", "Yarn, fabric, time, and what is done already", keys(CTRL, Key::M);
    ShowMending, "Mending", "The smallest changes that mend the toy", keys(CTRL_SHIFT, Key::M);
    Fit, "Fit", "Shows the whole toy in every view", keys(CTRL, Key::Num0);
    SwitchUnits, "Metric or imperial", "Switches between mm, g, m and inches, ounces, yards", keys(CTRL, Key::U);
    SwitchTerms, "US or UK terms", "Switches between US and UK names of stitches", keys(CTRL, Key::T);
    SwitchTheme, "Light or dark", "Switches between light, dark and the system's theme", keys(CTRL, Key::L);
    Larger, "Larger text", "Makes everything in the window larger", keys(CTRL, Key::Plus);
    Smaller, "Smaller text", "Makes everything in the window smaller", keys(CTRL, Key::Minus);
    Find, "All commands…", "A list of all commands, to be searched", keys(CTRL, Key::K);
}

impl Command {
    /// Its keys in words, as shown beside it.
    pub fn keys_text(self, ctx: &egui::Context) -> String {
        self.shortcut().map(|s| ctx.format_shortcut(&s)).unwrap_or_default()
    }

    /// The commands whose keys were pressed, taken out of the input. The keys of text fields stay theirs.
    pub fn pressed(ctx: &egui::Context) -> Vec<Command> {
        let typing = ctx.text_edit_focused();
        let mut pressed = Vec::new();
        // Keys with more modifiers first, so that Ctrl+S does not take Ctrl+Shift+S.
        let mut commands: Vec<Command> = Command::ALL.to_vec();
        commands.sort_by_key(|c| {
            let m = c.shortcut().map(|s| s.modifiers).unwrap_or_default();
            std::cmp::Reverse(u8::from(m.shift) + u8::from(m.alt) + u8::from(m.command))
        });
        for command in commands {
            let Some(shortcut) = command.shortcut() else { continue };
            if typing && command.is_for_text_too() {
                continue;
            }
            if ctx.input_mut(|i| i.consume_shortcut(&shortcut)) {
                pressed.push(command);
            }
        }
        pressed
    }

    /// A text field has its own use for these keys.
    fn is_for_text_too(self) -> bool {
        use Command as C;
        matches!(
            self,
            C::Undo
                | C::Redo
                | C::RoundUp
                | C::RoundDown
                | C::NextRound
                | C::PreviousRound
                | C::NextPart
                | C::PreviousPart
                | C::DeleteRound
                | C::RemovePart
                | C::Paste
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_their_keys() {
        let mut keys: Vec<_> = Command::ALL.iter().filter_map(|c| c.shortcut()).collect();
        let all = keys.len();
        keys.dedup();
        for (i, a) in keys.iter().enumerate() {
            assert!(!keys[i + 1..].contains(a), "{a:?}");
        }
        assert_eq!(keys.len(), all);
    }

    #[test]
    fn what_asks_first_says_so() {
        use Command as C;
        for command in [
            C::Open,
            C::SaveAs,
            C::Paste,
            C::DrawOutline,
            C::Find,
            C::OpenPath,
            C::SavePath,
            C::WeighIn,
            C::AnotherYarn,
            C::Export,
        ] {
            assert!(command.label().ends_with('…'));
        }
    }
}
