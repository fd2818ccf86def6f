//! What the toy looks like, as plain data: no window toolkit and no graphics card is known here.

pub mod balance;
pub mod camera;
mod colour_work;
pub mod drawn_curve;
pub mod elevation;
pub mod eyes;
pub mod ghost;
pub mod gauges;
pub mod give_take;
pub mod ink;
pub mod outline_handles;
pub mod outline_pad;
pub mod overlay;
pub mod pick;
pub mod picture;
pub mod place;
pub mod posed;
pub mod rose;
pub mod scene;
pub mod sewn;
pub mod sheet;
mod smooth;
pub mod strip;
#[cfg(test)]
mod test_toy;
pub mod toy_scene;
pub mod units;
pub mod yarn_strip;
