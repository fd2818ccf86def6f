//! Time, as the report says it.

use jiff::civil::Date;
use serde::Serialize;

use crate::figure::{Assumed, Figure};

/// Hours for the toy, and the day it will be done.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TimeReport {
    /// Single crochets a minute.
    pub pace_sc_per_min: Assumed,
    /// Part by part, all copies together.
    pub parts: Vec<PartTime>,
    /// Seams to sew in the whole toy.
    pub seams: u32,
    /// Sewing them all.
    pub sewing_minutes: Figure,
    /// All faces.
    pub face_minutes: Figure,
    /// The whole toy.
    pub total_minutes: Figure,
    /// What is still to do.
    pub left_minutes: Figure,
    /// Share of the work that is done, 0 to 1.
    pub done_share: f64,
    /// Hours a day for it; `null` where not said.
    pub hours_per_day: Option<f64>,
    /// The day the rest is begun; `null` where neither plan nor asker says one.
    pub first_day: Option<Date>,
    /// Days of work that are left; `null` without hours a day.
    pub days_left: Option<Figure>,
    /// The day it will be done, as likely as not.
    pub done_day: Option<Date>,
    /// The same if the work goes fast.
    pub done_day_low: Option<Date>,
    /// The same if the work goes slowly.
    pub done_day_high: Option<Date>,
    /// The day it is wished for.
    pub wished_day: Option<Date>,
    /// `done`, `in_time`, `just` or `late`; `null` where no day is wished or nothing says when it will be done.
    pub verdict: Option<&'static str>,
    /// What could be left out or made simpler, by minutes saved, most first.
    pub savings: Vec<Saving>,
}

/// Time of one part, all copies together.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PartTime {
    /// Its name.
    pub part: String,
    /// Work in one copy, in single crochets.
    pub work_sc: f64,
    /// Places where another colour is taken up, in one copy.
    pub colour_changes: u32,
    /// Crocheting all copies.
    pub minutes: Figure,
    /// Crocheting what is not made yet.
    pub left_minutes: Figure,
    /// Rounds made so far, copy by copy.
    pub rounds_made: Vec<u32>,
}

/// Something that saves time.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Saving {
    /// `leave_out`, `one_colour`, `simple_face` or `work_in_one`.
    pub kind: &'static str,
    /// The part it is about.
    pub part: String,
    /// What it is, as a sentence.
    pub message: String,
    /// Minutes it saves.
    pub minutes: Figure,
    /// With this one and those before it the toy is likely done on the wished day; `null` where nothing has to
    /// be saved.
    pub reaches_wished_day: Option<bool>,
}
