//! The window's own look: colours of its surfaces in light and dark, spaces, marks that stand for a word.

use egui::{Color32, CornerRadius, Margin, Painter, Pos2, Rect, Shape, Stroke, Theme, Vec2, pos2, vec2};

use crate::view::ink::{Ground, Ink};

/// How good something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mood {
    /// All is well.
    Good,
    /// Worth a change.
    Care,
    /// Will disappoint.
    Bad,
    /// Says nothing.
    Plain,
}

impl Mood {
    /// Its colour.
    pub fn ink(self) -> Ink {
        match self {
            Mood::Good => Ink::GOOD,
            Mood::Care => Ink::CARE,
            Mood::Bad => Ink::BAD,
            Mood::Plain => Ink::NOTE,
        }
    }
}

/// The ground of a theme.
pub fn ground(ui: &egui::Ui) -> Ground {
    if ui.visuals().dark_mode { Ground::Dark } else { Ground::Light }
}

/// An ink as the toolkit's colour.
pub fn colour(ink: Ink, ground: Ground) -> Color32 {
    let [r, g, b, a] = ink.on(ground);
    Color32::from_rgba_unmultiplied(r, g, b, a)
}

/// The heavier cut of the window's letters, for headings and verdicts.
pub fn strong_family() -> egui::FontFamily {
    egui::FontFamily::Name("strong".into())
}

/// The window's letters: Cabin (P. Impallari and I. Marini, SIL Open Font License); what it lacks the toolkit's
/// own fonts have.
fn letters(ctx: &egui::Context) {
    use egui::epaint::text::{FontInsert, FontPriority, InsertFontFamily};
    let regular = egui::FontData::from_static(include_bytes!("../../assets/fonts/Cabin-Regular.otf"));
    let strong = egui::FontData::from_static(include_bytes!("../../assets/fonts/Cabin-SemiBold.otf"));
    let into = |family, priority| InsertFontFamily { family, priority };
    use egui::FontFamily::Proportional;
    ctx.add_font(FontInsert::new(
        "cabin",
        regular,
        vec![into(Proportional, FontPriority::Highest), into(strong_family(), FontPriority::Lowest)],
    ));
    ctx.add_font(FontInsert::new("cabin-strong", strong, vec![into(strong_family(), FontPriority::Highest)]));
}

/// Sets the window's look in both themes.
pub fn dress(ctx: &egui::Context) {
    letters(ctx);
    for theme in [Theme::Light, Theme::Dark] {
        ctx.set_visuals_of(theme, visuals(theme));
    }
    ctx.all_styles_mut(|style| {
        style.spacing.item_spacing = vec2(8.0, 6.0);
        style.spacing.button_padding = vec2(8.0, 3.0);
        style.spacing.interact_size = vec2(36.0, 24.0);
        style.spacing.combo_width = 90.0;
        style.animation_time = 0.0;
        use egui::{FontFamily::Proportional, FontId, TextStyle};
        style.text_styles.insert(TextStyle::Heading, FontId::new(19.0, strong_family()));
        style.text_styles.insert(TextStyle::Body, FontId::new(14.5, Proportional));
        style.text_styles.insert(TextStyle::Button, FontId::new(14.5, Proportional));
        style.text_styles.insert(TextStyle::Small, FontId::new(12.5, Proportional));
    });
}

fn visuals(theme: Theme) -> egui::Visuals {
    let rgb = Color32::from_rgb;
    let dark = theme == Theme::Dark;
    let mut v = if dark { egui::Visuals::dark() } else { egui::Visuals::light() };
    let (paper, sheet, field, line, text, strong, accent, accent_fill) = if dark {
        (
            rgb(38, 36, 41),
            rgb(47, 44, 50),
            rgb(29, 27, 31),
            rgb(78, 73, 82),
            rgb(222, 217, 214),
            rgb(250, 246, 240),
            rgb(126, 200, 232),
            rgb(32, 84, 112),
        )
    } else {
        (
            rgb(250, 246, 239),
            rgb(255, 253, 249),
            rgb(255, 255, 255),
            rgb(216, 206, 193),
            rgb(58, 50, 48),
            rgb(28, 22, 22),
            rgb(0, 92, 138),
            rgb(186, 221, 238),
        )
    };
    v.panel_fill = paper;
    v.window_fill = sheet;
    v.window_stroke = Stroke::new(1.0, line);
    v.extreme_bg_color = field;
    v.faint_bg_color = if dark { rgb(43, 40, 46) } else { rgb(245, 239, 229) };
    v.code_bg_color = field;
    v.hyperlink_color = accent;
    v.selection.bg_fill = accent_fill;
    v.selection.stroke = Stroke::new(1.5, if dark { strong } else { rgb(0, 56, 88) });
    v.window_corner_radius = CornerRadius::same(10);
    v.menu_corner_radius = CornerRadius::same(8);
    v.popup_shadow = egui::Shadow { offset: [0, 3], blur: 12, spread: 0, color: Color32::from_black_alpha(60) };
    v.window_shadow = v.popup_shadow;
    v.striped = true;
    v.override_text_color = None;
    let radius = CornerRadius::same(6);
    let widget = |fill: Color32, edge: Color32, text: Color32| egui::style::WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: radius,
        fg_stroke: Stroke::new(1.2, text),
        expansion: 0.0,
    };
    let button = if dark { rgb(62, 58, 66) } else { rgb(240, 232, 220) };
    let hovered = if dark { rgb(76, 71, 80) } else { rgb(232, 221, 205) };
    v.widgets.noninteractive = widget(paper, line, text);
    v.widgets.inactive = widget(button, line, text);
    v.widgets.hovered = widget(hovered, accent, strong);
    v.widgets.active = widget(accent_fill, accent, strong);
    v.widgets.open = widget(hovered, accent, strong);
    v
}

/// A sheet of paper on which things stand together.
pub fn sheet(ui: &egui::Ui) -> egui::Frame {
    egui::Frame::NONE
        .fill(ui.visuals().window_fill)
        .stroke(ui.visuals().window_stroke)
        .corner_radius(CornerRadius::same(8))
        .inner_margin(Margin::symmetric(10, 8))
}

/// The mark of a mood: a disc with a tick, a triangle, an eight-sided stop; they differ in shape, not in
/// colour alone.
pub fn mood_mark(painter: &Painter, centre: Pos2, size: f32, mood: Mood, ground: Ground) {
    let ink = colour(mood.ink(), ground);
    let paper = if ground == Ground::Dark { Color32::from_rgb(30, 28, 32) } else { Color32::WHITE };
    let r = size / 2.0;
    let at = |x: f32, y: f32| centre + vec2(x * r, y * r);
    let pen = Stroke::new(size * 0.13, paper);
    match mood {
        Mood::Good => {
            painter.circle_filled(centre, r, ink);
            painter.add(Shape::line(vec![at(-0.45, 0.05), at(-0.1, 0.4), at(0.48, -0.35)], pen));
        }
        Mood::Care => {
            painter.add(Shape::convex_polygon(vec![at(0.0, -1.0), at(1.0, 0.85), at(-1.0, 0.85)], ink, Stroke::NONE));
            painter.line_segment([at(0.0, -0.3), at(0.0, 0.3)], pen);
            painter.circle_filled(at(0.0, 0.6), size * 0.075, paper);
        }
        Mood::Bad => {
            let corners =
                (0..8).map(|i| centre + Vec2::angled(std::f32::consts::TAU * (i as f32 + 0.5) / 8.0) * r).collect();
            painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
            painter.line_segment([at(-0.4, -0.4), at(0.4, 0.4)], pen);
            painter.line_segment([at(-0.4, 0.4), at(0.4, -0.4)], pen);
        }
        Mood::Plain => {
            painter.circle_stroke(centre, r * 0.85, Stroke::new(size * 0.11, ink));
            painter.line_segment([at(0.0, -0.05), at(0.0, 0.45)], Stroke::new(size * 0.12, ink));
            painter.circle_filled(at(0.0, -0.4), size * 0.08, ink);
        }
    }
}

/// A mood's mark in the flow of widgets.
pub fn mood_label(ui: &mut egui::Ui, size: f32, mood: Mood) {
    let (rect, _) = ui.allocate_exact_size(Vec2::splat(size), egui::Sense::hover());
    let ground = ground(ui);
    mood_mark(ui.painter(), rect.center(), size * 0.92, mood, ground);
}

/// A small heading over a group.
pub fn group_heading(ui: &mut egui::Ui, text: &str) -> egui::Response {
    let strong = ui.visuals().strong_text_color();
    ui.label(egui::RichText::new(text).size(15.5).family(strong_family()).color(strong))
}

/// The program's sign: a knot on a plumb line.
pub fn sign(painter: &Painter, rect: Rect, ground: Ground) {
    let (yarn, line) = (colour(Ink::SUPPORT_LINE, ground), colour(Ink::PLUMB, ground));
    let r = rect.height() * 0.25;
    let top = pos2(rect.center().x, rect.top() + r * 1.1);
    for (dx, dy) in [(-0.55, 0.0), (0.55, 0.0), (0.0, -0.35)] {
        painter.circle_stroke(top + vec2(dx * r, dy * r), r * 0.72, Stroke::new(rect.height() * 0.055, yarn));
    }
    let tip = pos2(rect.center().x, rect.bottom());
    painter.line_segment([top, tip - vec2(0.0, r * 0.9)], Stroke::new(rect.height() * 0.04, line));
    painter.add(Shape::convex_polygon(
        vec![tip, tip + vec2(-r * 0.42, -r * 0.95), tip + vec2(r * 0.42, -r * 0.95)],
        line,
        Stroke::NONE,
    ));
}
