//! The middle of the window: the toy in its views, and the switches over them.

use std::collections::HashMap;
use std::sync::Arc;

use egui::{Rect, RichText, Ui, UiBuilder, pos2, vec2};
use egui_wgpu::RenderState;
use glam::DVec2;

use super::bench::Bench;
use super::canvas::{Canvas, Shown};
use super::command::Command;
use super::ghosts;
use super::parts;
use super::settings::Settings;
use super::solid_pane::SolidPane;
use crate::document::history::EditKind;
use crate::view::elevation::{Elevation, Side};
use crate::view::overlay;

/// The views' own state.
#[derive(Default)]
pub struct Views {
    flat: HashMap<Side, Canvas>,
    solid: SolidPane,
    /// What was shown last: lying in this way, as far as made.
    shown: (Option<usize>, bool),
}

impl Views {
    /// Fits the whole toy in every view.
    pub fn fit(&mut self) {
        self.flat.values_mut().for_each(Canvas::fit);
        self.solid.fit();
    }
}

/// Least height of a view that has room for the ways to land under it, logical pixels.
const LEAST_WITH_ROW: f32 = 260.0;

/// Width below which a switch more goes into the menu, logical pixels.
const CRAMPED: f32 = 480.0;

/// One of the views.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pane {
    Solid,
    Flat(Side),
}

/// Shows switches, views and a line about what is chosen.
pub fn show(
    ui: &mut Ui,
    bench: &mut Bench,
    views: &mut Views,
    settings: &Settings,
    state: Option<&RenderState>,
    todo: &mut Vec<Command>,
) {
    switches(ui, settings, state.is_some(), todo);
    let shown = (bench.lying(), bench.as_made().is_some());
    if views.shown != shown {
        views.shown = shown;
        views.fit();
    }
    as_made(ui, bench, todo);
    if bench.lying().is_some() {
        ui.horizontal(|ui| {
            ui.label("This is how it lies when it has landed so.");
            if ui.button("Stand it up").clicked() {
                bench.lay(None);
            }
        });
    }
    suggested(ui, bench, settings);
    let line = 22.0;
    let room = ui.available_rect_before_wrap();
    let rect = Rect::from_min_max(room.min, pos2(room.right(), (room.bottom() - line).max(room.top() + 40.0)));
    panes(ui, rect, bench, views, settings, state);
    let below = Rect::from_min_max(pos2(room.left(), rect.bottom()), room.max);
    ui.scope_builder(UiBuilder::new().max_rect(below), |ui| parts::told(ui, bench, settings.terms()));
}

/// Says so where the toy is shown as far as it is made.
fn as_made(ui: &mut Ui, bench: &Bench, todo: &mut Vec<Command>) {
    let Some(made) = bench.as_made() else { return };
    let words = if made.is_empty() {
        "Nothing is made yet: say under Work, on the left, how many rounds of a part are."
    } else {
        "This is the toy as far as it is made."
    };
    egui::Frame::NONE
        .fill(ui.visuals().selection.bg_fill)
        .corner_radius(6)
        .inner_margin(egui::Margin::symmetric(8, 3))
        .show(ui, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.label(RichText::new(words).color(ui.visuals().selection.stroke.color));
                if ui.button("Show it whole").clicked() {
                    todo.push(Command::ShowAsMade);
                }
            });
        });
}

/// Says so where the outline of a suggestion is laid over the toy.
fn suggested(ui: &mut Ui, bench: &mut Bench, settings: &Settings) {
    let Some(looked_at) = bench.looked_at().filter(|_| bench.can_be_placed()) else { return };
    let flat = settings.panes.front || settings.panes.side || settings.panes.top;
    let hint = if flat { "" } else { " The flat views show it: Front, Side, Top." };
    let words = format!("The dashed outline is the toy as suggested: {}{hint}", looked_at.words);
    ui.horizontal(|ui| {
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Put it away").clicked() {
                bench.look_at(None);
                ui.request_repaint();
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.add(egui::Label::new(RichText::new(words).small()).wrap());
            });
        });
    });
}

fn switches(ui: &mut Ui, settings: &Settings, has_graphics: bool, todo: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        let roomy = ui.available_width() > 745.0;
        // All of it stays in one row, down to the smallest window.
        let cramped = ui.available_width() < CRAMPED;
        if !roomy {
            ui.spacing_mut().button_padding.x = 5.0;
        }
        let mut switch = |ui: &mut Ui, on: bool, word: &str, command: Command| {
            let hint = format!("{} ({})", command.about(), command.keys_text(ui.ctx()));
            if ui.selectable_label(on, word).on_hover_text(hint).clicked() {
                todo.push(command);
            }
        };
        let titled = ui.available_width() > 900.0;
        if titled {
            ui.label(RichText::new("Views").small().weak());
        }
        if has_graphics {
            switch(ui, settings.panes.solid, "Solid", Command::ShowSolid);
        } else {
            ui.add_enabled(false, egui::Button::new("Solid"))
                .on_disabled_hover_text("The solid view needs a graphics driver, and this computer offers none.");
        }
        switch(ui, settings.panes.front, "Front", Command::ShowFront);
        switch(ui, settings.panes.side, "Side", Command::ShowSide);
        switch(ui, settings.panes.top, "Top", Command::ShowTop);
        ui.separator();
        if titled {
            ui.label(RichText::new("Show").small().weak());
        }
        switch(ui, settings.sizes, "Sizes", Command::ShowSizes);
        switch(ui, settings.plumb, if roomy { "Plumb line" } else { "Plumb" }, Command::ShowPlumb);
        switch(ui, settings.before_stuffing, if roomy { "Before stuffing" } else { "Unstuffed" }, Command::ShowBefore);
        if !cramped {
            switch(ui, settings.heads, "Heads", Command::ShowHeads);
        }
        let mut more = |ui: &mut Ui| {
            if cramped {
                switch(ui, settings.heads, "Heads", Command::ShowHeads);
            }
            switch(ui, settings.give_take, "Give or take", Command::ShowGiveTake);
            switch(ui, settings.rose, "Lean", Command::ShowRose);
            switch(ui, settings.lands, "Lands", Command::ShowLands);
            switch(ui, settings.as_made, "Made", Command::ShowAsMade);
        };
        if roomy {
            more(ui);
        } else {
            ui.menu_button("More", more)
                .response
                .on_hover_text("Give or take, lean all around, how it lands, as far as made");
        }
        ui.separator();
        let hint = format!(
            "{} ({}); a double click does it for one view",
            Command::Fit.about(),
            Command::Fit.keys_text(ui.ctx())
        );
        if ui.button("Fit").on_hover_text(hint).clicked() {
            todo.push(Command::Fit);
        }
    });
}

fn panes(
    ui: &mut Ui,
    rect: Rect,
    bench: &mut Bench,
    views: &mut Views,
    settings: &Settings,
    state: Option<&RenderState>,
) {
    let shown = [
        (settings.panes.solid && state.is_some(), Pane::Solid),
        (settings.panes.front, Pane::Flat(Side::Front)),
        (settings.panes.side, Pane::Flat(Side::Left)),
        (settings.panes.top, Pane::Flat(Side::Top)),
    ];
    let mut shown: Vec<Pane> = shown.into_iter().filter(|(on, _)| *on).map(|(_, pane)| pane).collect();
    if shown.is_empty() {
        shown.push(Pane::Flat(Side::Front));
    }
    let tiles = tiles(rect, &shown);
    // The ways to land stand under the front view, or under the first one where that is not shown.
    let front = Pane::Flat(Side::Front);
    let row_in = if shown.contains(&front) { front } else { shown[0] };
    let has_ways = settings.lands && bench.derived().standing.is_some() && bench.as_made().is_none();
    let inner = |pane: Pane, tile: Rect| {
        let mut inner = tile.shrink(1.5);
        if has_ways && pane == row_in && tile.height() > LEAST_WITH_ROW {
            inner.set_bottom(ghosts::row(inner).top());
        }
        inner
    };
    // The toy keeps clear of the name of its view, where there is room for both.
    let clear_of_name = |inner: Rect| match inner.height() > 8.0 * NAME {
        true => inner.with_max_y(inner.bottom() - NAME),
        false => inner,
    };
    // All flat views at one scale, so that they can be compared.
    let (overlays, units) = (settings.overlays(), settings.units());
    let mut drawn: HashMap<Side, Arc<Elevation>> = HashMap::new();
    let size = bench.shown_report().toy.size_mm;
    let of_pane = |(pane, tile): (&Pane, &Rect)| match (*pane, &size) {
        (Pane::Flat(side), Some(size)) => {
            let tile = clear_of_name(inner(*pane, *tile));
            let room = DVec2::new(f64::from(tile.width()), f64::from(tile.height()));
            Some(overlay::pt_per_mm(size, side, overlays, room))
        }
        _ => None,
    };
    let pt_per_mm = shown.iter().zip(&tiles).filter_map(of_pane).fold(f64::INFINITY, f64::min);
    let pt_per_mm = if pt_per_mm.is_finite() { pt_per_mm } else { 2.0 };
    let mut scale = f64::INFINITY;
    for (pane, tile) in shown.iter().zip(&tiles) {
        if let Pane::Flat(side) = pane {
            let picture = bench.elevation(*side, overlays, units, pt_per_mm);
            if !picture.picture.extent.is_empty() {
                scale = scale.min(Canvas::fitting(&picture, clear_of_name(inner(*pane, *tile)).size()));
            }
            drawn.insert(*side, picture);
        }
    }
    // Words have a size of their own, and the smaller the toy the more of it they would ask for.
    let scale = scale.max(LEAST_OF_LAID_OUT * pt_per_mm);
    for (pane, tile) in shown.into_iter().zip(tiles) {
        let fill = ui.visuals().window_fill;
        ui.painter().rect(tile, 8, fill, ui.visuals().window_stroke, egui::StrokeKind::Inside);
        let id = match pane {
            Pane::Solid => "Solid",
            Pane::Flat(side) => side.name(),
        };
        let (whole, inner) = (tile.shrink(1.5), inner(pane, tile));
        if inner.bottom() < whole.bottom() {
            let row = Rect::from_min_max(pos2(whole.left(), inner.bottom()), whole.max);
            ui.scope_builder(UiBuilder::new().id_salt("ways to land").max_rect(row), |ui| ghosts::show(ui, bench));
        }
        let room = if pane == Pane::Solid { inner } else { clear_of_name(inner) };
        ui.scope_builder(UiBuilder::new().id_salt(id).max_rect(room), |ui| match pane {
            Pane::Solid => views.solid.show(ui, bench, settings.plumb, state),
            Pane::Flat(side) => {
                let canvas = views.flat.entry(side).or_default();
                let shown = Shown {
                    name: &format!("{} view", side.name()),
                    side,
                    toy: bench.shown_toy(),
                    made: bench.shown(),
                    drawn: &drawn[&side],
                    scale,
                    chosen: bench.chosen_part().filter(|_| bench.can_be_placed()),
                    round: bench.chosen_round(),
                };
                let answer = canvas.show(ui, &shown);
                if let Some((part, seat)) = answer.pulled {
                    bench.edit(EditKind::Setting { part: Some(part), name: "place of a part" }, |toy| {
                        toy.pieces[part].placement.seat = seat
                    });
                    ui.request_repaint();
                }
                if let Some((part, worked)) = answer.worked {
                    bench.edit(EditKind::Setting { part: Some(part), name: "outline by hand" }, |toy| {
                        toy.pieces[part].part = worked
                    });
                    ui.request_repaint();
                }
                if answer.let_go {
                    bench.seal();
                }
                if let Some(Some(found)) = answer.clicked {
                    bench.choose(Some(found));
                    ui.request_repaint();
                }
            }
        });
        let colour = ui.visuals().weak_text_color();
        let name = match pane {
            Pane::Flat(Side::Left) => "From its left",
            Pane::Flat(Side::Top) => "From above",
            Pane::Flat(Side::Front) => "Front",
            Pane::Solid => "Solid: drag to turn",
        };
        let name = match bench.shown_lean_deg() {
            Some(deg) if pane != Pane::Solid => format!("{name}, as it rests: leaning {deg:.0}°"),
            _ => name.to_owned(),
        };
        ui.painter().text(
            pos2(tile.left() + 9.0, inner.bottom() - 5.0),
            egui::Align2::LEFT_BOTTOM,
            name,
            egui::FontId::proportional(12.0),
            colour,
        );
    }
}

/// Height of the name of a view.
const NAME: f32 = 18.0;
/// The toy is shown at no less than this share of the scale for which its words were laid out; in a narrow view words
/// are cut off rather.
const LEAST_OF_LAID_OUT: f64 = 0.8;

/// Rectangles for the views: the solid one large with one or two flat ones beside or under it; else each as large as
/// the others allow.
fn tiles(rect: Rect, shown: &[Pane]) -> Vec<Rect> {
    const GAP: f32 = 6.0;
    let row = |rect: Rect, n: usize, upright: bool| -> Vec<Rect> {
        let n = n.max(1);
        let whole = if upright { rect.height() } else { rect.width() };
        let each = ((whole - GAP * (n - 1) as f32) / n as f32).max(10.0);
        (0..n)
            .map(|i| {
                let from = i as f32 * (each + GAP);
                if upright {
                    Rect::from_min_size(rect.min + vec2(0.0, from), vec2(rect.width(), each))
                } else {
                    Rect::from_min_size(rect.min + vec2(from, 0.0), vec2(each, rect.height()))
                }
            })
            .collect()
    };
    let wide = rect.width() > rect.height() * 1.15;
    let least = |tiles: &Vec<Rect>| tiles.iter().map(|t| t.width().min(t.height())).fold(f32::INFINITY, f32::min);
    let roomiest = |ways: [Vec<Rect>; 2]| ways.into_iter().max_by(|a, b| least(a).total_cmp(&least(b)));
    let two_rows = || row(rect, 2, true).into_iter();
    match shown {
        // Too many for one to be large: whichever way leaves the smallest largest.
        [_, _, _, _] => {
            let two_over_two = two_rows().flat_map(|half| row(half, 2, false)).collect();
            roomiest([row(rect, 4, !wide), two_over_two]).unwrap_or_default()
        }
        [Pane::Solid, flats @ ..] if !flats.is_empty() => {
            let (solid, rest) = if wide {
                let cut = rect.left() + 0.56 * rect.width();
                (rect.with_max_x(cut - GAP / 2.0), rect.with_min_x(cut + GAP / 2.0))
            } else {
                let cut = rect.top() + 0.5 * rect.height();
                (rect.with_max_y(cut - GAP / 2.0), rect.with_min_y(cut + GAP / 2.0))
            };
            std::iter::once(solid).chain(row(rest, flats.len(), wide)).collect()
        }
        [_, _, _] => {
            let two_over_one = two_rows().zip([2, 1]).flat_map(|(half, n)| row(half, n, false)).collect();
            roomiest([row(rect, 3, !wide), two_over_one]).unwrap_or_default()
        }
        _ => row(rect, shown.len(), !wide),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The least side of any view in a room of this size.
    fn least(size: egui::Vec2, shown: &[Pane]) -> f32 {
        let tiles = tiles(Rect::from_min_size(pos2(0.0, 0.0), size), shown);
        tiles.iter().map(|t| t.width().min(t.height())).fold(f32::INFINITY, f32::min)
    }

    /// With the solid view the three flat ones have more than a column of a third each, in the smallest window too.
    #[test]
    fn four_views_leave_no_room_unused() {
        let mut shown = vec![Pane::Solid];
        shown.extend(Side::ALL.map(Pane::Flat));
        let least = |size| least(size, &shown);
        assert!(least(vec2(450.0, 600.0)) > 215.0);
        assert!(least(vec2(1000.0, 800.0)) > 390.0);
        assert!(least(vec2(1600.0, 400.0)) > 390.0);
    }

    /// Three flat views in a room about square are each larger than a third of it.
    #[test]
    fn three_flat_views_leave_no_room_unused() {
        let shown = Side::ALL.map(Pane::Flat);
        let least = |size| least(size, &shown);
        assert!(least(vec2(800.0, 800.0)) > 380.0);
        assert!(least(vec2(1200.0, 500.0)) > 380.0);
        assert!(least(vec2(400.0, 1300.0)) > 380.0);
    }

    #[test]
    fn tiles_never_overlap() {
        let flats = Side::ALL.map(Pane::Flat);
        for size in [vec2(420.0, 560.0), vec2(960.0, 800.0), vec2(1200.0, 500.0)] {
            let rect = Rect::from_min_size(pos2(10.0, 10.0), size);
            for n in 1..=3 {
                for solid in [false, true] {
                    let mut shown = if solid { vec![Pane::Solid] } else { Vec::new() };
                    shown.extend(&flats[..n]);
                    let tiles = tiles(rect, &shown);
                    assert_eq!(tiles.len(), shown.len());
                    for (i, a) in tiles.iter().enumerate() {
                        assert!(rect.expand(0.5).contains_rect(*a));
                        assert!(tiles[i + 1..].iter().all(|b| !a.shrink(0.5).intersects(b.shrink(0.5))));
                    }
                }
            }
        }
    }
}
