//! The first step of a ladder that will do.

/// What a step comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Not there yet, or harmful.
    Short,
    /// There.
    There,
    /// Past it.
    Over,
    /// The step cannot be taken.
    Cannot,
}

/// Ladders up to this long are climbed step by step, so that the step found is the first beyond doubt. Longer ones are
/// climbed in doubled strides and then halved, which takes for granted that what is enough stays enough until then.
pub const STEP_BY_STEP: u32 = 12;

/// The first step from `from` to `steps` that is there.
pub fn first(from: u32, steps: u32, status: &mut dyn FnMut(u32) -> Status) -> Option<u32> {
    if steps <= STEP_BY_STEP {
        for step in from.max(1)..=steps {
            match status(step) {
                Status::There => return Some(step),
                Status::Over => return None,
                Status::Short | Status::Cannot => {}
            }
        }
        return None;
    }
    strides(from, steps, status)
}

/// As [`first`], in strides whatever the length.
pub fn strides(from: u32, steps: u32, status: &mut dyn FnMut(u32) -> Status) -> Option<u32> {
    let mut low = from.max(1) - 1;
    let mut stride = 1;
    let (mut high, mut at_high) = loop {
        let step = (low + stride).min(steps);
        if step <= low {
            return None;
        }
        match status(step) {
            s @ (Status::There | Status::Over) => break (step, s),
            Status::Short | Status::Cannot => low = step,
        }
        stride *= 2;
    };
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        match status(middle) {
            s @ (Status::There | Status::Over) => (high, at_high) = (middle, s),
            Status::Short | Status::Cannot => low = middle,
        }
    }
    if at_high == Status::There {
        return Some(high);
    }
    // Whole stitches make what a step comes to waver: the goal may be met just beside where it is passed.
    let beside = (1..=BESIDE).flat_map(|d| [low.checked_sub(d), high.checked_add(d)]).flatten();
    let mut beside = beside.filter(|step| (from.max(1)..=steps).contains(step));
    beside.find(|step| status(*step) == Status::There)
}

/// Steps looked at on both sides of where a goal is passed.
const BESIDE: u32 = 3;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_step_is_found_on_short_and_long_ladders() {
        for steps in [5, 12, 13, 40, 97] {
            for enough in 1..=steps {
                let mut asked = 0;
                let found = first(1, steps, &mut |k| {
                    asked += 1;
                    if k >= enough { Status::There } else { Status::Short }
                });
                assert_eq!(found, Some(enough), "{steps}");
                assert!(asked <= 15, "{asked} of {steps}");
            }
            assert_eq!(first(1, steps, &mut |_| Status::Short), None);
            assert_eq!(first(1, steps, &mut |k| if k > 3 { Status::Over } else { Status::Short }), None);
        }
    }

    #[test]
    fn a_window_between_short_and_over_is_found() {
        let status = |k: u32| match k {
            0..=36 => Status::Short,
            37 | 38 => Status::There,
            _ => Status::Over,
        };
        assert_eq!(first(1, 70, &mut |k| status(k)), Some(37));
    }
}
