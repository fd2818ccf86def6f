//! A picture's shapes, kept from frame to frame: making them anew, with large toys, takes a good part of a frame in
//! which nothing has changed.

use std::sync::Arc;

use egui::{Rect, Shape};

use super::paint::{Placing, shapes};
use crate::view::ink::Ground;
use crate::view::picture::Picture;

/// Shapes, and what they were made from.
#[derive(Clone, Debug)]
pub struct Kept<T> {
    of: Arc<T>,
    placing: Placing,
    ground: Ground,
    clip: Rect,
    shapes: Vec<Shape>,
}

impl<T> Kept<T> {
    /// The shapes of the last frame where nothing has changed, else new ones. `picture` finds the picture in what
    /// holds it; that it is the same one is told by its place in memory, which `Kept` holds on to.
    pub fn shapes<'a>(
        kept: &'a mut Option<Kept<T>>,
        of: &Arc<T>,
        picture: impl FnOnce(&T) -> &Picture,
        placing: Placing,
        ground: Ground,
        clip: Rect,
    ) -> &'a [Shape] {
        let same = |k: &Kept<T>| Arc::ptr_eq(&k.of, of) && k.placing == placing && k.ground == ground && k.clip == clip;
        let now = kept.take().filter(same).unwrap_or_else(|| Kept {
            of: Arc::clone(of),
            placing,
            ground,
            clip,
            shapes: shapes(picture(of), placing, ground, clip),
        });
        &kept.insert(now).shapes
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use egui::{pos2, vec2};
    use glam::DVec2;

    use super::*;
    use crate::view::ink::Ink;

    #[test]
    fn shapes_are_made_anew_only_where_something_has_changed() {
        let mut picture = Picture::default();
        picture.fill(vec![DVec2::ZERO, DVec2::X, DVec2::Y], Ink::NOTE);
        let (one, two) = (Arc::new(picture.clone()), Arc::new(picture));
        let clip = Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 100.0));
        let near = Placing { px_per_mm: 10.0, centre_mm: DVec2::ZERO, rect: clip };
        let far = Placing { px_per_mm: 5.0, ..near };
        let mut kept = None;
        let made = Cell::new(0);
        let mut ask = |of: &Arc<Picture>, placing: Placing, ground: Ground, clip: Rect| {
            let now = Kept::shapes(
                &mut kept,
                of,
                |picture| {
                    made.set(made.get() + 1);
                    picture
                },
                placing,
                ground,
                clip,
            )
            .to_vec();
            assert_eq!(now, shapes(of, placing, ground, clip));
            made.get()
        };
        assert_eq!(ask(&one, near, Ground::Light, clip), 1);
        assert_eq!(ask(&one, near, Ground::Light, clip), 1, "nothing has changed");
        assert_eq!(ask(&two, near, Ground::Light, clip), 2, "another picture");
        assert_eq!(ask(&two, far, Ground::Light, clip), 3, "from further away");
        assert_eq!(ask(&two, far, Ground::Dark, clip), 4, "on another ground");
        assert_eq!(ask(&two, far, Ground::Dark, clip.shrink(20.0)), 5, "with less of it on screen");
        assert_eq!(ask(&two, far, Ground::Dark, clip.shrink(20.0)), 5, "nothing has changed");
    }
}
