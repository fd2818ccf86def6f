//! What the toy looks like, as plain data: no window toolkit and no graphics card is known here.

pub mod camera;
pub mod pick;
pub mod scene;
