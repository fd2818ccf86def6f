//! The habits of writing that only the counts tell apart. One line is parsed under several of them until
//! it fits the round below and the printed total.

/// A set of habits that depart from the default reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub(super) struct Habits(pub u32);

macro_rules! habits {
    ($($(#[$doc:meta])* $name:ident = $bit:expr, $cost:expr;)*) => {
        impl Habits {
            $($(#[$doc])* pub const $name: Habits = Habits(1 << $bit);)*
            /// Every habit with its cost: the larger, the less likely.
            pub const ALL: &'static [(Habits, u32)] = &[$((Habits::$name, $cost)),*];
        }
    };
}

habits! {
    /// `2sc` written together is two in one stitch.
    GLUED_TWO = 0, 2;
    /// `(2 sc)` alone in brackets is two in one stitch.
    BRACKET_TWO = 1, 2;
    /// `2 sc` is two in one stitch.
    SPACED_TWO = 2, 4;
    /// `inc3` is three in one stitch, not three increases.
    INC_IN_ONE = 3, 3;
    /// A repeat count after a list without brackets belongs to the whole list.
    BIND_ALL = 4, 2;
    /// "5 more times" means 5 in all.
    MORE_IS_TOTAL = 5, 3;
    /// "repeat 5 times" means once more than it says.
    REP_PLUS_ONE = 6, 3;
    /// A list with no brackets and no count is repeated to the end of the round.
    WHOLE_REPEATS = 7, 2;
    /// The other reading of brackets with no count: once, or to the end of the round.
    UNNUMBERED = 8, 2;
    /// The other reading of a bare last number: repeat count or total.
    BARE_NUMBER = 9, 3;
    /// `sc inc` is one word.
    ONE_WORD = 10, 2;
    /// `2 sc in next 2 st` puts two in each.
    EACH_OF_NEXT = 11, 3;
    /// A number between two words belongs to the word after it.
    LEANS_RIGHT = 12, 3;
    /// `ch` is a slip of the pen for `sc`.
    CH_IS_SC = 13, 7;
    /// The turning chain is a stitch.
    CHAIN_COUNTS = 14, 3;
    /// The closing slip stitch is a stitch.
    SLIP_COUNTS = 15, 3;
    /// An unknown word is a single crochet.
    MYSTERY_SC = 16, 6;
    /// An unknown word is an increase.
    MYSTERY_INC = 17, 6;
    /// An unknown word is a decrease.
    MYSTERY_DEC = 18, 6;
    /// `(15 hdc, 5 puff)` at the end is part of the work, not a total.
    BRACKET_IS_WORK = 19, 3;
    /// `pr` is a slip stitch, `ss` a single crochet: letters two languages share.
    OTHER_TONGUE = 20, 4;
    /// "decrease over the next 2 stitches" is two decreases.
    DEC_EACH = 21, 3;
    /// Stitches into the same stitch are new work, not an addition to the one before.
    SAME_IS_NEW = 22, 3;
    /// `v` is a plain stitch.
    V_IS_PLAIN = 23, 5;
    /// Brackets with a number of one kind are work.
    TOTAL_IS_WORK = 24, 3;
    /// A skipped stitch is only a place, nothing is skipped.
    SKIP_NOTHING = 25, 5;
    /// Loops of chain in a repeat are stitches of the round.
    LOOPS_COUNT = 26, 3;
}

impl Habits {
    /// Habits that amount to a guess and are said when they are taken.
    pub const GUESSES: Habits =
        Habits(Habits::CH_IS_SC.0 | Habits::MYSTERY_SC.0 | Habits::MYSTERY_INC.0 | Habits::MYSTERY_DEC.0);

    pub fn has(self, other: Habits) -> bool {
        self.0 & other.0 != 0
    }
    pub fn flip(self, other: Habits) -> Habits {
        Habits(self.0 ^ other.0)
    }
}
