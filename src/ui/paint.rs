//! Paints plain pictures with the toolkit.

use egui::epaint::{TessellationOptions, Tessellator};
use egui::{
    Align2, Color32, FontId, Mesh, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, vec2,
};
use glam::DVec2;

use super::look::{colour, ground};
use crate::view::ink::Ground;
use crate::view::picture::{Across, Extent, Item, Picture, Upright, grown};

/// Where a picture's mm lie on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placing {
    /// Points (logical pixels) to the mm.
    pub px_per_mm: f64,
    /// The mm in the middle of the rectangle.
    pub centre_mm: DVec2,
    /// The rectangle on screen.
    pub rect: Rect,
}

impl Placing {
    /// Fits what lies in an extent into a rectangle.
    pub fn fit(extent: Extent, rect: Rect) -> Placing {
        Placing { px_per_mm: Placing::scale(extent, rect.size()), centre_mm: extent.centre(), rect }
    }

    /// The scale at which an extent just fits a size.
    pub fn scale(extent: Extent, size: Vec2) -> f64 {
        let need = extent.size().max(DVec2::splat(1e-3));
        (f64::from(size.x) / need.x).min(f64::from(size.y) / need.y).clamp(1e-3, 1e4)
    }

    /// A point on screen.
    pub fn to_screen(self, mm: DVec2) -> Pos2 {
        let by = (mm - self.centre_mm) * self.px_per_mm;
        self.rect.center() + vec2(by.x as f32, -by.y as f32)
    }

    /// A point of the picture.
    pub fn to_mm(self, at: Pos2) -> DVec2 {
        let by = at - self.rect.center();
        self.centre_mm + DVec2::new(f64::from(by.x), f64::from(-by.y)) / self.px_per_mm
    }
}

/// Paints a picture.
pub fn paint(painter: &Painter, picture: &Picture, placing: Placing, ground: Ground) {
    painter.extend(shapes(picture, placing, ground, painter.clip_rect()));
    texts(painter, picture, placing, ground);
}

/// The words of a picture, over everything else.
pub fn texts(painter: &Painter, picture: &Picture, placing: Placing, ground: Ground) {
    for item in &picture.items {
        let Item::Text { at, text, ink, size_pt, across, upright } = item else { continue };
        let x = match across {
            Across::Left => egui::Align::LEFT,
            Across::Middle => egui::Align::Center,
            Across::Right => egui::Align::RIGHT,
        };
        let y = match upright {
            Upright::Top => egui::Align::TOP,
            Upright::Middle => egui::Align::Center,
            Upright::Bottom => egui::Align::BOTTOM,
        };
        let at = placing.to_screen(*at);
        painter.text(at, Align2([x, y]), text, FontId::proportional(*size_pt as f32), colour(*ink, ground));
    }
}

/// Everything but the words, as the toolkit's shapes: what does not change can be kept from frame to frame.
pub fn shapes(picture: &Picture, placing: Placing, ground: Ground, clip: Rect) -> Vec<Shape> {
    let mut shapes: Vec<Shape> = Vec::new();
    // Fills that follow each other go to the painter in one piece.
    let mut fills = Mesh::default();
    for item in &picture.items {
        if !matches!(item, Item::Fill { .. } | Item::Halo { .. }) && !fills.is_empty() {
            shapes.push(std::mem::take(&mut fills).into());
        }
        match item {
            Item::Fill { points, ink } => fill(&mut fills, &on_screen(points, placing), clip, colour(*ink, ground)),
            Item::Halo { points, ink, width_pt } => {
                let points = grown(points, width_pt / placing.px_per_mm);
                fill(&mut fills, &on_screen(&points, placing), clip, colour(*ink, ground));
            }
            Item::Line { points, closed, ink, width_pt, dash_pt } => {
                let points = on_screen(points, placing);
                if points.len() < 2 || !is_near(&points, clip) {
                    continue;
                }
                let stroke = Stroke::new(*width_pt as f32, colour(*ink, ground));
                match dash_pt {
                    Some((dash, gap)) => shapes.extend(Shape::dashed_line(&points, stroke, *dash as f32, *gap as f32)),
                    None if *closed => shapes.push(Shape::closed_line(points, stroke)),
                    None => shapes.push(Shape::line(points, stroke)),
                }
            }
            Item::Text { .. } => {}
            Item::Dot { at, radius_pt, ink } => {
                shapes.push(Shape::circle_filled(placing.to_screen(*at), *radius_pt as f32, colour(*ink, ground)));
            }
            Item::Bob { tip, height_pt, ink } => {
                bob(&mut shapes, placing.to_screen(*tip), *height_pt as f32, colour(*ink, ground))
            }
        }
    }
    if !fills.is_empty() {
        shapes.push(fills.into());
    }
    shapes
}

/// The triangles that the toolkit makes of shapes without words, in one piece; none of what lies outside `clip`.
pub fn triangles(shapes: Vec<Shape>, clip: Rect, pixels_per_point: f32, options: TessellationOptions) -> Mesh {
    let mut mesh = Mesh::default();
    // Without words there is nothing on the sheet of letters that would have to be found; dots are drawn as outlines.
    let mut tessellator = Tessellator::new(pixels_per_point, options, [1, 1], Vec::new());
    tessellator.set_clip_rect(clip);
    for shape in shapes {
        tessellator.tessellate_shape(shape, &mut mesh);
    }
    mesh
}

/// Width of the soft edge of a fill in points.
const SOFT: f32 = 0.9;

/// Adds a convex fill with a soft edge. The toolkit's own convex fill draws its edge with mitres, which stand out
/// like spikes where a band of the toy is thin and pointed; here every side has an edge of its own.
fn fill(mesh: &mut Mesh, points: &[Pos2], clip: Rect, ink: Color32) {
    let n = points.len();
    if n < 3 || !is_near(points, clip) {
        return;
    }
    let Ok(first) = u32::try_from(mesh.vertices.len()) else { return };
    for p in points {
        mesh.colored_vertex(*p, ink);
    }
    let count = n as u32;
    for i in 1..count - 1 {
        mesh.add_triangle(first, first + i, first + i + 1);
    }
    // On screen y runs down: the way around tells on which side the outside is.
    let area: f32 = (0..n)
        .map(|i| points[i].to_vec2())
        .zip((0..n).map(|i| points[(i + 1) % n].to_vec2()))
        .map(|(a, b)| a.x * b.y - a.y * b.x)
        .sum();
    let out = if area > 0.0 { SOFT } else { -SOFT };
    let mut before = None;
    let mut first_skirt = None;
    for i in 0..count {
        let (a, b) = (points[i as usize], points[(i as usize + 1) % n]);
        let along = (b - a).normalized();
        let away = vec2(along.y, -along.x) * out;
        let (p, q) = (first + i, first + (i + 1) % count);
        let skirt = first + count + 2 * i;
        mesh.colored_vertex(a + away, Color32::TRANSPARENT);
        mesh.colored_vertex(b + away, Color32::TRANSPARENT);
        mesh.add_triangle(p, q, skirt);
        mesh.add_triangle(q, skirt, skirt + 1);
        if let Some(end) = before {
            mesh.add_triangle(p, end, skirt);
        }
        first_skirt.get_or_insert(skirt);
        before = Some(skirt + 1);
    }
    if let (Some(end), Some(start)) = (before, first_skirt) {
        mesh.add_triangle(first, end, start);
    }
}

/// The weight of a plumb line, its tip at the point: a drop with a cap.
fn bob(shapes: &mut Vec<Shape>, tip: Pos2, height: f32, ink: Color32) {
    let at = |x: f32, y: f32| tip + vec2(x * height, -y * height);
    let body = vec![
        at(0.0, 0.0),
        at(-0.24, 0.42),
        at(-0.3, 0.62),
        at(-0.22, 0.78),
        at(0.22, 0.78),
        at(0.3, 0.62),
        at(0.24, 0.42),
    ];
    shapes.push(Shape::convex_polygon(body, ink, Stroke::NONE));
    shapes.push(Shape::rect_filled(Rect::from_two_pos(at(-0.1, 0.76), at(0.1, 1.0)), 1, ink));
}

fn on_screen(points: &[DVec2], placing: Placing) -> Vec<Pos2> {
    points.iter().map(|p| placing.to_screen(*p)).filter(|p| p.x.is_finite() && p.y.is_finite()).collect()
}

fn is_near(points: &[Pos2], clip: Rect) -> bool {
    Rect::from_points(points).expand(8.0).intersects(clip)
}

/// A picture as a widget of this size, with its words for those who do not see it.
pub fn show(ui: &mut Ui, picture: &Picture, size: Vec2) -> egui::Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    if ui.is_rect_visible(rect) {
        paint(
            &ui.painter().with_clip_rect(rect.expand(4.0).intersect(ui.clip_rect())),
            picture,
            Placing::fit(picture.extent, rect),
            ground(ui),
        );
    }
    let words = picture.words.clone();
    response.widget_info(move || WidgetInfo::labeled(Role::Image, true, words.clone()));
    response
}
