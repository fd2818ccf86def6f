//! Arguments of `check` about the maker, the child and the days.

use clap::ValueEnum;
use jiff::ZonedDateTime;
use jiff::civil::Date;

use super::args::positive;
use crate::toy::Toy;
use crate::toy::plan::Experience;

/// How practised the maker is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ExperienceWord {
    /// 5 to 8 single crochets a minute.
    Beginner,
    /// 12 to 15.
    Usual,
    /// 20 to 25.
    Fast,
}

/// Arguments of `check` about the maker, the child and the days.
#[derive(Clone, Debug, Default, clap::Args)]
#[command(next_help_heading = "Maker, child and days")]
pub struct PlanArgs {
    /// Age of the child it is for, months.
    #[arg(long, value_name = "MONTHS")]
    pub child_months: Option<u32>,
    /// How practised the maker is.
    #[arg(long, value_enum)]
    pub experience: Option<ExperienceWord>,
    /// Hours a day for it.
    #[arg(long, value_name = "HOURS", value_parser = hours)]
    pub hours_per_day: Option<f64>,
    /// The day it is wished for, as 2027-03-14.
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub wished_day: Option<Date>,
    /// The day it is begun or gone on with; today where not said.
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub first_day: Option<Date>,
}

impl PlanArgs {
    /// Sets in a toy what the arguments say.
    pub fn apply(&self, toy: &mut Toy) {
        toy.settings.child_months = self.child_months.or(toy.settings.child_months);
        let experience = self.experience.map(|word| match word {
            ExperienceWord::Beginner => Experience::Beginner,
            ExperienceWord::Usual => Experience::Usual,
            ExperienceWord::Fast => Experience::Fast,
        });
        let plan = &mut toy.plan;
        if experience.is_some() {
            // What is said now wins over what was timed before.
            plan.experience = experience;
            plan.pace_sc_per_min = None;
            plan.timed.clear();
        }
        plan.hours_per_day = self.hours_per_day.or(plan.hours_per_day);
        plan.wished_day = self.wished_day.or(plan.wished_day);
        plan.first_day = self.first_day.or(plan.first_day);
    }

    /// The day from which the rest is counted: a day that was named may well be past or to come.
    pub fn today(&self) -> Date {
        self.first_day.unwrap_or_else(|| ZonedDateTime::now().date())
    }
}

fn hours(text: &str) -> Result<f64, String> {
    positive(text).and_then(|h| if h <= 24.0 { Ok(h) } else { Err("expected at most 24 hours".to_owned()) })
}

fn date(text: &str) -> Result<Date, String> {
    text.trim().parse().map_err(|_| "expected a day as year-month-day, such as 2027-03-14".to_owned())
}
