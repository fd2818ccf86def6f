//! The camera of the solid view: it turns about a point, as pure functions.
//!
//! The toy's frame has z up, x to the toy's left and y to its front. That frame is left-handed, so the view
//! is too: seen from the front, +x points to the right of the picture, as on the front canvas.

use glam::{DMat4, DVec2, DVec3, DVec4};

use super::scene::Bounds;

/// A camera that looks at a point from a distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// What it looks at, in the toy's frame in mm.
    pub target: DVec3,
    /// Where it stands: 0 before the toy, 90 on its left, 180 behind it.
    pub yaw_deg: f64,
    /// How high it stands: 0 level with the target, 90 above it.
    pub pitch_deg: f64,
    /// How far from the target in mm.
    pub distance_mm: f64,
    /// Angle between the top and the bottom of the picture.
    pub fov_deg: f64,
}

/// A ray into the scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ray {
    /// Where it begins, in the toy's frame in mm.
    pub origin: DVec3,
    /// Where it goes, of length 1.
    pub direction: DVec3,
}

/// The standard views.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StandardView {
    /// The toy's face.
    Front,
    /// The toy's left side.
    Side,
    /// The toy's back.
    Back,
    /// From above, the toy's front at the bottom of the picture.
    Top,
    /// From the front, a little to the left and above: the view the program opens with.
    Gallery,
}

/// Degrees turned by a drag of one pixel.
const DEG_PER_PX: f64 = 0.4;
/// Highest and lowest pitch; straight above is allowed.
const PITCH_MAX_DEG: f64 = 90.0;
/// Room left around the toy by [`Camera::fit`].
const FIT_MARGIN: f64 = 1.08;

impl Default for Camera {
    fn default() -> Self {
        Camera { target: DVec3::ZERO, yaw_deg: 24.0, pitch_deg: 14.0, distance_mm: 400.0, fov_deg: 28.0 }
    }
}

impl Camera {
    /// The camera turned by a drag over the picture, in logical pixels (right and down are positive). The toy
    /// follows the hand.
    #[must_use]
    pub fn orbit(self, drag_px: DVec2) -> Camera {
        self.turn(DVec2::new(drag_px.x, drag_px.y) * DEG_PER_PX)
    }

    /// The camera turned by degrees: x about the upright axis, y up and down.
    #[must_use]
    pub fn turn(self, by_deg: DVec2) -> Camera {
        Camera {
            yaw_deg: (self.yaw_deg - by_deg.x).rem_euclid(360.0),
            pitch_deg: (self.pitch_deg + by_deg.y).clamp(-PITCH_MAX_DEG, PITCH_MAX_DEG),
            ..self
        }
    }

    /// The camera shifted by a drag over a picture of this height (both logical pixels): what lies at the
    /// target's distance stays under the hand.
    #[must_use]
    pub fn pan(self, drag_px: DVec2, height_px: f64) -> Camera {
        let [right, up, _] = self.axes();
        let scale = self.mm_per_px(height_px);
        Camera { target: self.target - right * drag_px.x * scale + up * drag_px.y * scale, ..self }
    }

    /// The camera moved nearer by a factor (2 shows the toy twice as large), between a stitch and a room.
    #[must_use]
    pub fn zoom(self, factor: f64) -> Camera {
        let factor = if factor.is_finite() && factor > 0.0 { factor } else { 1.0 };
        Camera { distance_mm: (self.distance_mm / factor).clamp(15.0, 20_000.0), ..self }
    }

    /// The camera moved, its direction kept, so that the box fills a picture of this width over height.
    #[must_use]
    pub fn fit(self, bounds: &Bounds, aspect: f64) -> Camera {
        let half_high = (0.5 * self.fov_deg).to_radians().tan();
        let half_wide = half_high * if aspect.is_finite() && aspect > 0.0 { aspect } else { 1.0 };
        let [right, up, forward] = self.axes();
        let target = bounds.centre();
        let half = 0.5 * (bounds.high - bounds.low);
        // The nearest distance from which every corner of the box lies within the picture.
        let mut distance = 15.0_f64;
        for corner in 0..8 {
            let sign = |bit: i32| if corner & bit == 0 { -1.0 } else { 1.0 };
            let at = half * DVec3::new(sign(1), sign(2), sign(4));
            let (x, y, depth) = (at.dot(right).abs(), at.dot(up).abs(), at.dot(forward));
            distance = distance.max(FIT_MARGIN * x / half_wide - depth).max(FIT_MARGIN * y / half_high - depth);
        }
        Camera { target, distance_mm: distance.min(20_000.0), ..self }
    }

    /// The camera in a standard view, looking at what it looked at.
    #[must_use]
    pub fn standard(self, view: StandardView) -> Camera {
        let (yaw_deg, pitch_deg) = match view {
            StandardView::Front => (0.0, 0.0),
            StandardView::Side => (90.0, 0.0),
            StandardView::Back => (180.0, 0.0),
            StandardView::Top => (0.0, 90.0),
            StandardView::Gallery => (24.0, 14.0),
        };
        Camera { yaw_deg, pitch_deg, ..self }
    }

    /// Right, up and forward of the picture as unit vectors in the toy's frame.
    pub fn axes(&self) -> [DVec3; 3] {
        let (sin_yaw, cos_yaw) = self.yaw_deg.to_radians().sin_cos();
        let (sin_pitch, cos_pitch) = self.pitch_deg.to_radians().sin_cos();
        let right = DVec3::new(cos_yaw, -sin_yaw, 0.0);
        let up = DVec3::new(-sin_yaw * sin_pitch, -cos_yaw * sin_pitch, cos_pitch);
        let forward = -DVec3::new(sin_yaw * cos_pitch, cos_yaw * cos_pitch, sin_pitch);
        [right, up, forward]
    }

    /// Where the camera stands, in the toy's frame in mm.
    pub fn eye(&self) -> DVec3 {
        self.target - self.axes()[2] * self.distance_mm
    }

    /// Millimetres at the target's distance to one logical pixel of a picture of this height.
    pub fn mm_per_px(&self, height_px: f64) -> f64 {
        2.0 * self.distance_mm * (0.5 * self.fov_deg).to_radians().tan() / height_px.max(1.0)
    }

    /// From the toy's frame to clip space (x right, y up, z 0 at the near and 1 at the far plane, before the
    /// division by w). `bounds` sets the two planes.
    pub fn clip_from_toy(&self, aspect: f64, bounds: &Bounds) -> DMat4 {
        let [right, up, forward] = self.axes();
        let eye = self.eye();
        let depth = (bounds.centre() - eye).dot(forward);
        let reach = bounds.radius_mm() * 3.0 + 50.0;
        let far = (depth + reach).max(1.0);
        let near = (depth - reach).max(self.distance_mm * 0.02).min(far * 0.5).max(0.5);
        let scale = 1.0 / (0.5 * self.fov_deg).to_radians().tan();
        let (a, b) = (far / (far - near), -near * far / (far - near));
        let row = |axis: DVec3, factor: f64| (axis * factor).extend(-axis.dot(eye) * factor);
        let (x, y, w) = (row(right, scale / aspect.max(1e-6)), row(up, scale), row(forward, 1.0));
        let z = w * a + DVec4::new(0.0, 0.0, 0.0, b);
        DMat4::from_cols(x, y, z, w).transpose()
    }

    /// The ray through a point of a picture of this size (logical pixels from its top left corner).
    pub fn ray(&self, at_px: DVec2, size_px: DVec2) -> Ray {
        let [right, up, forward] = self.axes();
        let half = (0.5 * self.fov_deg).to_radians().tan();
        let size = size_px.max(DVec2::ONE);
        let x = (2.0 * at_px.x / size.x - 1.0) * half * size.x / size.y;
        let y = (1.0 - 2.0 * at_px.y / size.y) * half;
        Ray { origin: self.eye(), direction: (forward + right * x + up * y).normalize() }
    }

    /// Where a point of the toy lies in a picture of this size, in logical pixels; `None` behind the camera.
    pub fn project(&self, point: DVec3, size_px: DVec2) -> Option<DVec2> {
        let [right, up, forward] = self.axes();
        let from_eye = point - self.eye();
        let depth = from_eye.dot(forward);
        if depth <= 1e-6 {
            return None;
        }
        let scale = 0.5 * size_px.y / (0.5 * self.fov_deg).to_radians().tan() / depth;
        Some(0.5 * size_px + DVec2::new(from_eye.dot(right), -from_eye.dot(up)) * scale)
    }
}
