//! Written rounds to be read.

/// A part of twelve rounds in the words of a pattern, with a line that is none.
pub const PAGE: &str = "\
Head (make 2)
Rnd 1: 6 sc in MR (6)
Rnd 2: inc x 6 (12)
Rnd 3: (sc, inc) x 6 (18)
Rnd 4: *2 sc, inc; rep from * around (24)
Rnds 5-9: sc in each st around (24)
Place the eyes between rounds 7 and 8, 6 stitches apart.
Rnd 10: (2 sc, dec) x 6 (18)
Rnd 11: 3 sc, (sc, dec) 4 times, sc in next 3 sts [14]
Rnd 12: dec around (7)
Stuff firmly. Fasten off and close the hole.

A line of prose that says how the maker likes to sit by the window.

";

/// A page over and over, `bytes` long at least.
pub fn pages(page: &str, bytes: usize) -> String {
    page.repeat(bytes / page.len() + 1)
}
