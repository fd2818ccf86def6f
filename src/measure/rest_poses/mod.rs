use crate::solid::Placed;
use glam::DVec3;
pub struct RestPose {
    pub share: f64,
    pub up: DVec3,
    pub rolls: bool,
}
pub fn rest_poses(_s: &[Placed], _c: DVec3) -> Option<Vec<RestPose>> {
    None
}
