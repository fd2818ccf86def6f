//! A picture's triangles, kept from frame to frame: making them anew, with large toys, takes most of a frame in which
//! nothing has changed.

use std::sync::Arc;

use egui::epaint::TessellationOptions;
use egui::{Context, Mesh, Rect, Shape};

use super::paint::{Placing, shapes, triangles};
use crate::view::ink::Ground;
use crate::view::picture::Picture;

/// What a picture is painted on, and how finely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screen {
    ground: Ground,
    clip: Rect,
    pixels_per_point: f32,
    options: TessellationOptions,
}

impl Screen {
    /// Within `clip` of this window.
    pub fn of(ctx: &Context, ground: Ground, clip: Rect) -> Screen {
        let options = ctx.tessellation_options(|options| *options);
        Screen { ground, clip, pixels_per_point: ctx.pixels_per_point(), options }
    }
}

/// Triangles, and what they were made from.
#[derive(Clone, Debug)]
pub struct Kept<T> {
    of: Arc<T>,
    placing: Placing,
    screen: Screen,
    triangles: Arc<Mesh>,
}

impl<T> Kept<T> {
    /// The triangles of the last frame where nothing has changed, else new ones: all of the picture but its words.
    /// `picture` finds the picture in what holds it; that it is the same one is told by its place in memory, which
    /// `Kept` holds on to.
    pub fn shape(
        kept: &mut Option<Kept<T>>,
        of: &Arc<T>,
        picture: impl FnOnce(&T) -> &Picture,
        placing: Placing,
        screen: Screen,
    ) -> Shape {
        let same = |k: &Kept<T>| Arc::ptr_eq(&k.of, of) && k.placing == placing && k.screen == screen;
        let now = kept.take().filter(same).unwrap_or_else(|| {
            let shapes = shapes(picture(of), placing, screen.ground, screen.clip);
            let triangles = Arc::new(triangles(shapes, screen.clip, screen.pixels_per_point, screen.options));
            Kept { of: Arc::clone(of), placing, screen, triangles }
        });
        Shape::Mesh(Arc::clone(&kept.insert(now).triangles))
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use egui::{pos2, vec2};
    use glam::DVec2;

    use super::*;
    use crate::view::ink::Ink;
    use crate::view::picture::Item;

    /// The toolkit's own painting is the reference: the same triangles as it makes of the shapes one by one, dots as
    /// outlines, what is out of sight left out.
    #[test]
    fn triangles_are_the_toolkits() {
        let mut picture = Picture::default();
        picture.fill(vec![DVec2::ZERO, DVec2::X, DVec2::Y], Ink::NOTE);
        picture.line(vec![DVec2::ZERO, DVec2::X], Ink::NOTE, 2.0);
        let at = |x: f64, y: f64| DVec2::new(x, y);
        let line = vec![at(-40.0, 0.3), at(1.0, 0.3), at(40.0, 0.4)];
        picture.items.push(Item::Line {
            points: line,
            closed: false,
            ink: Ink::NOTE,
            width_pt: 1.5,
            dash_pt: Some((4.0, 3.0)),
        });
        picture.items.push(Item::Dot { at: at(0.2, 0.1), radius_pt: 3.0, ink: Ink::NOTE });
        picture.items.push(Item::Dot { at: at(90.0, 0.1), radius_pt: 3.0, ink: Ink::NOTE });
        picture.items.push(Item::Bob { tip: at(0.1, 0.2), height_pt: 14.0, ink: Ink::NOTE });
        let clip = Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 100.0));
        let placing = Placing { px_per_mm: 10.0, centre_mm: DVec2::ZERO, rect: clip };
        for pixels_per_point in [1.0, 1.5] {
            let ctx = Context::default();
            ctx.set_pixels_per_point(pixels_per_point);
            ctx.tessellation_options_mut(|options| options.prerasterized_discs = false);
            let mut kept = None;
            let picture = Arc::new(picture.clone());
            ctx.run_ui(egui::RawInput::default(), |_| {}).textures_delta.clear();
            let of = Screen::of(&ctx, Ground::Light, clip);
            let kept = Kept::shape(&mut kept, &picture, |picture| picture, placing, of);
            let clipped = |shape| egui::epaint::ClippedShape::new(clip, shape);
            let apart = shapes(&picture, placing, Ground::Light, clip).into_iter().map(clipped).collect();
            let drawn = ctx.tessellate(apart, ctx.pixels_per_point());
            let [one] = &drawn[..] else { panic!("{} pieces", drawn.len()) };
            let egui::epaint::Primitive::Mesh(mesh) = &one.primitive else { panic!("no triangles") };
            assert!(mesh.indices.len() > 100, "{} corners", mesh.indices.len());
            assert_eq!(kept, Shape::Mesh(Arc::new(mesh.clone())));
        }
    }

    #[test]
    fn triangles_are_made_anew_only_where_something_has_changed() {
        let mut picture = Picture::default();
        picture.fill(vec![DVec2::ZERO, DVec2::X, DVec2::Y], Ink::NOTE);
        picture.line(vec![DVec2::ZERO, DVec2::X], Ink::NOTE, 2.0);
        let (one, two) = (Arc::new(picture.clone()), Arc::new(picture));
        let clip = Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 100.0));
        let near = Placing { px_per_mm: 10.0, centre_mm: DVec2::ZERO, rect: clip };
        let far = Placing { px_per_mm: 5.0, ..near };
        let light =
            Screen { ground: Ground::Light, clip, pixels_per_point: 1.0, options: TessellationOptions::default() };
        let dark = Screen { ground: Ground::Dark, ..light };
        let less = Screen { clip: clip.shrink(20.0), ..dark };
        let fine = Screen { pixels_per_point: 2.0, ..less };
        let mut kept = None;
        let made = Cell::new(0);
        let mut ask = |of: &Arc<Picture>, placing: Placing, screen: Screen| {
            let now = Kept::shape(
                &mut kept,
                of,
                |picture| {
                    made.set(made.get() + 1);
                    picture
                },
                placing,
                screen,
            );
            let shapes = shapes(of, placing, screen.ground, screen.clip);
            let anew = triangles(shapes, screen.clip, screen.pixels_per_point, screen.options);
            assert!(anew.indices.len() > 12, "{} corners", anew.indices.len());
            assert_eq!(now, Shape::Mesh(Arc::new(anew)));
            made.get()
        };
        assert_eq!(ask(&one, near, light), 1);
        assert_eq!(ask(&one, near, light), 1, "nothing has changed");
        assert_eq!(ask(&two, near, light), 2, "another picture");
        assert_eq!(ask(&two, far, light), 3, "from further away");
        assert_eq!(ask(&two, far, dark), 4, "on another ground");
        assert_eq!(ask(&two, far, less), 5, "with less of it on screen");
        assert_eq!(ask(&two, far, fine), 6, "on a finer screen");
        assert_eq!(ask(&two, far, fine), 6, "nothing has changed");
    }
}
