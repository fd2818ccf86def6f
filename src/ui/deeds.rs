//! What the window does when told: commands, opening, saving, the question about unsaved changes.

use std::path::{Path, PathBuf};

use egui::{Context, ViewportCommand};

use super::another_yarn::SwapDraft;
use super::app::{App, Tab};
use super::chooser::{Answer, Wanted};
use super::command::Command;
use super::dialogs::{After, Dialog};
use super::pages::Page;
use super::strip::change_count;
use super::weigh_in::WeighDraft;
use super::welcome::Begin;
use crate::document::history::EditKind;
use crate::document::{self, Opened, TextScene, edits, samples};
use crate::toy::{Seat, Toy};
use crate::view::elevation::Chosen;

impl App {
    /// Whether a command can be done now.
    pub(super) fn can(&self, command: Command) -> bool {
        use Command as C;
        let part = self.bench.chosen_part().map(|i| &self.bench.toy().pieces[i].part);
        let round = self.bench.chosen_round();
        match command {
            C::Undo => self.bench.undo_label().is_some(),
            C::Redo => self.bench.redo_label().is_some(),
            C::DoublePart
            | C::RemovePart
            | C::InsertRound
            | C::NextRound
            | C::PreviousRound
            | C::WeighIn
            | C::AnotherYarn => part.is_some(),
            C::NextPart | C::PreviousPart => self.bench.toy().pieces.len() > 1,
            C::DeleteRound | C::RepeatRound | C::MoreStitches | C::FewerStitches => round.is_some(),
            C::RoundUp => round.is_some_and(|r| r > 0),
            C::RoundDown => round.zip(part).is_some_and(|(r, p)| r + 1 < p.rounds.len()),
            C::Save | C::SaveAs | C::SavePath | C::Export => !self.bench.toy().pieces.is_empty(),
            _ => true,
        }
    }

    /// Does a command.
    pub(super) fn run(&mut self, command: Command, ctx: &Context) {
        use Command as C;
        if !self.can(command) {
            return;
        }
        match command {
            C::New => self.guarded(ctx, After::New),
            C::Open => self.guarded(ctx, After::Open),
            C::OpenPath => self.guarded(ctx, After::OpenPath),
            C::Paste => self.dialog = Some(Dialog::Paste { text: String::new() }),
            C::Save => self.save(ctx),
            C::SaveAs => self.chooser.ask(Wanted::Save, &self.file_name(), ctx),
            C::SavePath => self.ask_path(Wanted::Save, false),
            C::Export => self.ask_export(),
            C::Quit => ctx.send_viewport_cmd(ViewportCommand::Close),
            C::Undo => drop(self.bench.undo()),
            C::Redo => drop(self.bench.redo()),
            C::WeighIn => {
                let draft = WeighDraft::of(self.bench.toy(), self.bench.chosen());
                self.dialog = Some(Dialog::WeighIn(Box::new(draft)));
            }
            C::AnotherYarn => {
                let draft = SwapDraft::of(self.bench.toy(), self.bench.chosen_part());
                self.dialog = Some(Dialog::AnotherYarn(Box::new(draft)));
            }
            C::Find => self.dialog = Some(Dialog::Commands { text: String::new(), at: 0 }),
            C::AddPart | C::DoublePart | C::RemovePart => self.part_command(command),
            C::DrawOutline => self.draw_outline(),
            C::NextPart | C::PreviousPart | C::NextRound | C::PreviousRound => self.step(command),
            C::InsertRound
            | C::DeleteRound
            | C::RepeatRound
            | C::RoundUp
            | C::RoundDown
            | C::MoreStitches
            | C::FewerStitches => {
                self.round_command(command);
            }
            C::Fit => self.views.fit(),
            C::ShowFront | C::ShowSide | C::ShowTop | C::ShowSolid => {
                let panes = &mut self.settings.panes;
                match command {
                    C::ShowFront => panes.front ^= true,
                    C::ShowSide => panes.side ^= true,
                    C::ShowTop => panes.top ^= true,
                    _ => panes.solid ^= true,
                }
                self.views.fit();
            }
            C::ShowSizes => self.settings.sizes ^= true,
            C::ShowPlumb => self.settings.plumb ^= true,
            C::ShowBefore => self.settings.before_stuffing ^= true,
            C::ShowHeads => self.settings.heads ^= true,
            C::ShowGiveTake => self.settings.give_take ^= true,
            C::ShowRose => self.settings.rose ^= true,
            C::ShowLands => self.settings.lands ^= true,
            C::ShowAsMade => self.settings.as_made ^= true,
            C::ShowMaking => self.settings.page = self.settings.page.switched(Page::Making),
            C::ShowMending => self.settings.page = self.settings.page.switched(Page::Mending),
            C::SwitchUnits => self.settings.imperial ^= true,
            C::SwitchTerms => self.settings.uk_terms ^= true,
            C::SwitchTheme | C::Larger | C::Smaller => {
                match command {
                    C::SwitchTheme => self.settings.look = self.settings.look.next(),
                    C::Larger => self.settings.scale = (self.settings.scale * 1.1).min(2.5),
                    _ => self.settings.scale = (self.settings.scale / 1.1).max(0.6),
                }
                self.apply_look(ctx);
            }
        }
    }

    fn part_command(&mut self, command: Command) {
        let chosen = self.bench.chosen_part();
        let mut at = chosen.unwrap_or(0);
        match (command, chosen) {
            (Command::AddPart, _) => self.bench.edit(EditKind::Once("added part"), |toy| at = edits::add_part(toy)),
            (Command::DoublePart, Some(part)) => {
                self.bench.edit(EditKind::Once("copied part"), |toy| at = edits::double_part(toy, part))
            }
            (Command::RemovePart, Some(part)) => {
                self.bench.edit(EditKind::Once("removed part"), |toy| edits::remove_part(toy, part))
            }
            _ => {}
        }
        self.bench.choose(Some(Chosen { part: at, round: None }));
    }

    fn step(&mut self, command: Command) {
        let Some(now) = self.bench.chosen() else { return };
        let next = match command {
            Command::NextPart => Chosen { part: now.part + 1, round: None },
            Command::PreviousPart => Chosen { part: now.part.saturating_sub(1), round: None },
            Command::NextRound => Chosen { round: Some(now.round.map_or(0, |r| r + 1)), ..now },
            _ => Chosen { round: Some(now.round.map_or(0, |r| r.saturating_sub(1))), ..now },
        };
        self.bench.choose(Some(next));
    }

    fn round_command(&mut self, command: Command) {
        use Command as C;
        let Some(part) = self.bench.chosen_part() else { return };
        let last = self.bench.toy().pieces[part].part.rounds.len().saturating_sub(1);
        let round = self.bench.chosen_round().unwrap_or(last);
        let mut at = round;
        let once = |name| EditKind::Once(name);
        match command {
            C::InsertRound => {
                self.bench.edit(once("inserted round"), |toy| edits::repeat_in(toy, part, round, 1));
                at = round + 1;
            }
            C::RepeatRound => {
                self.bench.edit(once("repeated round"), |toy| edits::repeat_in(toy, part, round, 5));
                at = round + 5;
            }
            C::DeleteRound => self.bench.edit(once("deleted round"), |toy| edits::remove_round_in(toy, part, round)),
            C::RoundUp | C::RoundDown => {
                at = if command == C::RoundUp { round.saturating_sub(1) } else { round + 1 };
                self.bench.edit(once("moved round"), |toy| edits::move_round_in(toy, part, round, at));
            }
            C::MoreStitches => change_count(&mut self.bench, part, round, 1),
            _ => change_count(&mut self.bench, part, round, -1),
        }
        self.bench.choose_round(Some(at));
    }

    /// Goes on at once, or asks first where changes would be lost.
    pub(super) fn guarded(&mut self, ctx: &Context, after: After) {
        if self.bench.is_changed() {
            self.dialog = Some(Dialog::Unsaved(after));
        } else {
            self.go_on(after, ctx);
        }
    }

    /// Goes on after unsaved changes are settled.
    pub(super) fn go_on(&mut self, after: After, ctx: &Context) {
        match after {
            After::New => {
                self.put(Opened::default(), None);
                self.welcome.text.clear();
            }
            After::Open => self.chooser.ask(Wanted::Open, "", ctx),
            After::OpenPath => self.ask_path(Wanted::Open, false),
            After::OpenFile(path) => self.open_file(&path),
            After::Sample(index) => self.open_sample(index),
            After::Pattern(text) => drop(self.open_pattern(&text)),
            After::Close => {
                self.may_close = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// Begins as chosen on the first page.
    pub(super) fn begin(&mut self, begin: Begin) {
        match begin {
            Begin::Text => {
                let text = std::mem::take(&mut self.welcome.text);
                if !self.open_pattern(&text) {
                    self.welcome.text = text;
                }
            }
            Begin::Sample(index) => self.open_sample(index),
            Begin::Ball => {
                let mut toy = Toy::default();
                let at = edits::add_part(&mut toy);
                toy.name = "Ball".to_owned();
                toy.yarns.push(crate::yarn::Yarn::default());
                toy.pieces[at].part.name = "ball".to_owned();
                toy.pieces[at].placement.seat = Seat::Floor { down: crate::part::End::Start, x_mm: 0.0, y_mm: 0.0 };
                self.put(Opened { document: document::Document { toy }, problems: Vec::new() }, None);
                self.bench.is_unsaved();
            }
        }
    }

    fn put(&mut self, opened: Opened, path: Option<PathBuf>) {
        self.bench.put(opened, path);
        self.mending.begin_anew();
        self.message = None;
        self.tab = Tab::Rounds;
        self.views.fit();
    }

    /// Opens a file, whatever is on the bench.
    pub(super) fn open_file(&mut self, path: &Path) {
        let is_toy = path.extension().is_some_and(|e| e == "ron");
        match document::open(path, Some(is_toy), &TextScene::default()) {
            Ok(mut opened) => {
                self.settings.remember(path);
                let name = &mut opened.document.toy.name;
                if name.is_empty()
                    && let Some(stem) = path.file_stem()
                {
                    // A text has no name of its own: its file's stands in.
                    *name = stem.to_string_lossy().replace(['_', '-'], " ");
                }
                let told = (!is_toy).then(|| read_message(&opened));
                self.put(opened, is_toy.then(|| path.to_owned()));
                if !is_toy {
                    self.bench.is_unsaved();
                }
                self.message = told;
            }
            Err(why) => self.message = Some(why.to_string()),
        }
    }

    /// Takes up a copy that was kept aside; it is in no file of the maker's yet.
    pub(super) fn recover(&mut self, copy: &Path) {
        match document::open(copy, Some(true), &TextScene::default()) {
            Ok(opened) => {
                self.put(opened, None);
                self.bench.is_unsaved();
                self.message = Some("This is the toy as it was. Save it to keep it.".to_owned());
                // It stays where it is until the toy is saved or let go.
                self.recovery.take_over();
            }
            Err(why) => self.message = Some(why.to_string()),
        }
    }

    /// Reads a pattern's text; `false` where there is no round in it.
    pub(super) fn open_pattern(&mut self, text: &str) -> bool {
        match document::open_text(text, "the text", false, &TextScene::default()) {
            Ok(opened) => {
                let told = read_message(&opened);
                self.put(opened, None);
                self.bench.is_unsaved();
                self.message = Some(told);
                true
            }
            Err(why) => {
                self.message = Some(why.to_string());
                false
            }
        }
    }

    fn open_sample(&mut self, index: usize) {
        let Some(sample) = samples().get(index) else { return };
        match document::open_text(sample.text, sample.title, true, &TextScene::default()) {
            Ok(opened) => self.put(opened, None),
            Err(why) => self.message = Some(why.to_string()),
        }
    }

    /// Saves where it was opened from, or asks where.
    pub(super) fn save(&mut self, ctx: &Context) {
        match self.bench.path.clone() {
            Some(path) => self.save_to(&path, ctx),
            None => self.chooser.ask(Wanted::Save, &self.file_name(), ctx),
        }
    }

    /// Saves in a file; a name without an ending gets the one of toys.
    pub(super) fn save_to(&mut self, path: &Path, ctx: &Context) {
        let path = match path.extension() {
            Some(_) => path.to_owned(),
            None => path.with_extension("toy.ron"),
        };
        match document::save(self.bench.document(), &path) {
            Ok(()) => {
                self.message = Some(format!("Saved in {}.", path.display()));
                self.settings.remember(&path);
                self.bench.is_saved_at(path);
                if let Some(after) = self.after_save.take() {
                    self.go_on(after, ctx);
                }
            }
            Err(why) => {
                self.after_save = None;
                self.message = Some(why.to_string());
            }
        }
    }

    pub(super) fn file_name(&self) -> String {
        let name: String = self.bench.toy().name.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
        format!("{}.toy.ron", if name.is_empty() { "toy" } else { &name })
    }

    pub(super) fn ask_path(&mut self, wanted: Wanted, no_system: bool) {
        let text = match wanted {
            Wanted::Open => String::new(),
            Wanted::Export => self.export_path(),
            Wanted::Save => self.bench.path.as_ref().map_or_else(|| self.file_name(), |p| p.display().to_string()),
        };
        self.dialog = Some(Dialog::Path { wanted, text, no_system });
    }

    /// Takes in what the file dialog answered.
    pub(super) fn take_answers(&mut self, ctx: &Context) {
        match self.chooser.answer() {
            None => {}
            Some(Answer::Nothing) => self.after_save = None,
            Some(Answer::NoDialog(wanted)) => self.ask_path(wanted, true),
            Some(Answer::File(Wanted::Open, path)) => self.open_file(&path),
            Some(Answer::File(Wanted::Save, path)) => self.save_to(&path, ctx),
            Some(Answer::File(Wanted::Export, path)) => self.export_to(&path),
        }
    }

    /// Opens a file dropped on the window.
    pub(super) fn take_drops(&mut self, ctx: &Context) {
        let dropped = ctx.input(|i| i.raw.dropped_files.first().cloned());
        let Some(file) = dropped else { return };
        if let Some(Dialog::Outline(drawing)) = &mut self.dialog {
            return drawing.take_file(file.path(), ctx);
        }
        self.guarded(ctx, After::OpenFile(file.path().to_owned()));
    }

    /// A text pasted where no field takes it is a pattern: it is shown before it is read.
    pub(super) fn take_pasted(&mut self, ctx: &Context) {
        if self.dialog.is_some() || ctx.text_edit_focused() {
            return;
        }
        let pasted = ctx.input(|i| {
            i.events.iter().find_map(|event| match event {
                egui::Event::Paste(text) if !text.trim().is_empty() => Some(text.clone()),
                _ => None,
            })
        });
        if let Some(text) = pasted {
            self.dialog = Some(Dialog::Paste { text });
        }
    }

    /// Holds the window open while there are unsaved changes.
    pub(super) fn guard_close(&mut self, ctx: &Context) {
        if ctx.input(|i| i.viewport().close_requested()) && !self.may_close && self.bench.is_changed() {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.dialog = Some(Dialog::Unsaved(After::Close));
        }
    }
}

/// What was read from a text, and what to do next.
fn read_message(opened: &Opened) -> String {
    let parts = match opened.document.toy.pieces.len() {
        1 => "1 part".to_owned(),
        n => format!("{n} parts"),
    };
    let look = match opened.problems.len() {
        0 => String::new(),
        1 => " 1 place needs a look: it is under What to change.".to_owned(),
        n => format!(" {n} places need a look: they are under What to change."),
    };
    format!("Read {parts}.{look} Next, say your yarn and hook under Yarn.")
}
