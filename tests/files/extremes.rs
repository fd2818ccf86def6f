//! Inputs far beyond any toy: an answer or a plain error, never an exhausted machine. The program runs with little
//! memory here, so that one that takes more fails.

use std::process::{Command, Output};

use toppleknot::document::{TextScene, open_text};
use toppleknot::measure::derive;

use super::{err, fed, out};

/// Address space that the program gets, kB.
const ROOM_KB: u32 = 1_500_000;
/// Bytes of a text right below what is read, and of one far above it.
const MOST_READ: usize = 2 << 20;
const LARGE: usize = 10_000_000;

fn run_in_little_room(args: &[&str], input: &str) -> Output {
    let limited = format!("ulimit -v {ROOM_KB}; exec \"$0\" \"$@\"");
    fed(Command::new("sh").args(["-c", &limited]).arg(env!("CARGO_BIN_EXE_toppleknot")).args(args), input)
}

fn repeated(piece: &str) -> String {
    piece.repeat(MOST_READ / piece.len())
}

#[test]
fn as_much_as_is_read_of_anything_gets_an_answer_or_an_error() {
    let texts = [
        ("counts", repeated("24 ")),
        ("one round again and again", repeated("Rnd 1: 6 sc in magic ring (6)\n")),
        ("rounds", (1..60_000).map(|i| format!("Rnd {i}: (2 sc, inc) x 6 (24)\n")).collect()),
        ("one line", repeated("sc, ")),
        ("increases", repeated("inc x 6 ")),
        ("brackets", "(".repeat(MOST_READ)),
        ("open repeats", repeated("*sc, ")),
        ("digits", "9".repeat(MOST_READ)),
        ("prose", repeated("The lamps along the quay were lit before the boats came in. ")),
        ("line ends", "\n".repeat(MOST_READ)),
        ("letters of two bytes", "é".repeat(MOST_READ / 2)),
        ("parts", repeated("Head\nRnd 1: 6 sc in MR (6)\n")),
        ("endless rounds", "Rnd 1: 6 sc in magic ring (6)\nRnds 2-1000000: sc around (6)\n".to_owned()),
        ("a round without end", "Rnd 1: 4000000000 sc in magic ring\n".to_owned()),
        ("repeats without end", "Rnd 1: 6 sc in magic ring (6)\nRnd 2: repeat (sc, inc) 4294967295 times\n".to_owned()),
        ("rounds repeated without end", "Rnd 1: 6 sc in magic ring (6)\nRepeat round 1 4294967295 times\n".to_owned()),
        ("repeats in repeats", "Rnd 1: ((((sc x 65535) x 65535) x 65535) x 65535) x 65535\n".to_owned()),
        ("brackets that close", format!("Rnd 1: {}sc{}\n", "(".repeat(100_000), ") x 2".repeat(100_000))),
        ("a million rounds", (1..=180_000).map(|i| format!("R{i}: 6 sc\n")).collect()),
        ("a range of a million", "Rnds 1-4294967295: 6 sc\nRnds 4294967290-4294967295: sc\n".to_owned()),
    ];
    for (name, text) in &texts {
        for command in ["read", "check"] {
            let ran = run_in_little_room(&[command, "-"], text);
            let code = ran.status.code();
            assert!(matches!(code, Some(0 | 2)), "{command} of {name}: {:?} {}", ran.status, err(&ran));
            if code == Some(2) {
                assert!(err(&ran).contains("xpected"), "{command} of {name}: {}", err(&ran));
            }
            assert!(out(&ran).len() < 20 * MOST_READ, "{command} of {name}: {} bytes of answer", out(&ran).len());
        }
    }
}

#[test]
fn ten_megabytes_of_text_are_refused_before_they_are_read() {
    for command in ["read", "check"] {
        let ran = run_in_little_room(&[command, "-"], &"24 ".repeat(LARGE / 3));
        assert_eq!(ran.status.code(), Some(2));
        assert!(err(&ran).contains("larger than 2 MB"), "{}", err(&ran));
    }
}

#[test]
fn a_toys_file_that_blows_up_is_refused() {
    let toy = |inside: &str| format!("(version: 1, toy: ({inside}))");
    let rounds = |list: &str| toy(&format!("pieces: [(part: (rounds: [{list}]))]"));
    for (name, text) in [
        ("a million rounds", rounds(&"\"6sc\",".repeat(1_000_000))),
        ("rounds of changes", rounds(&"\"100000(sc sl)\",".repeat(10_000))),
        ("hidden changes", rounds(&r#""100000\u{28}sc sl)","#.repeat(10_000))),
        ("brackets in brackets", rounds("\"60000(60000(60000(sc)))\"")),
        ("counts that multiply", rounds("\"4294967295(4294967295(4294967295(sc)))\"")),
        ("nothing, endless times", rounds(&"\"4294967295()\",".repeat(100_000))),
        ("a million rounds of one", rounds("\"1000000(sc)\",\"1000000(1(sc sc+))\"")),
        ("deep rounds", rounds(&format!("\"{}sc{}\"", "1(".repeat(100_000), ")".repeat(100_000)))),
        ("deep options", toy(&format!("name: {}", "Some(".repeat(100_000)))),
        ("parts of nothing", toy(&format!("pieces: [{}]", "(),".repeat(1_000_000)))),
        ("yarns", toy(&format!("yarns: [{}]", "(),".repeat(10_000)))),
        ("open brackets", "(".repeat(LARGE)),
        ("open lists", "[".repeat(LARGE)),
        ("a name without end", toy(&format!("name: \"{}", "x".repeat(LARGE)))),
        ("unknown fields", toy(&(0..200_000).map(|i| format!("f{i}:[],")).collect::<String>())),
        ("one unknown field again and again", toy(&format!("settings: ({})", "a:1,".repeat(2_000_000)))),
        ("stitches", rounds(&"\"100000sc\",".repeat(5_000))),
    ] {
        let ran = run_in_little_room(&["check", "-", "--format", "toy"], &text);
        let code = ran.status.code();
        let refused = code == Some(2) && err(&ran).starts_with("toppleknot: standard input");
        assert!(refused || (code == Some(0) && name == "unknown fields"), "{name}: {:?} {}", ran.status, err(&ran));
    }
}

#[test]
fn odd_rounds_and_gauges_give_figures_that_are_numbers() {
    let lists = [
        "1 1 1",
        "1 10000 1",
        "10000 10000 10000",
        "6 12 10000 12 6",
        "1 2 4 8 16 32 64 128 256 512 1024",
        "5000 1",
        "1 5000",
        "3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3 3",
        "2 2",
    ];
    let gauges = [(20.0, 20.0), (0.001, 0.001), (1e6, 1e6), (1e6, 1e-3), (1e-3, 1e6), (1e8, 1e8)];
    let (mut worked, mut refused) = (0, 0);
    for list in lists {
        for (stitches, rounds) in gauges {
            for pressure in [None, Some(1e-6), Some(1e6)] {
                let scene = TextScene {
                    stitches_per_10cm: Some(stitches),
                    rounds_per_10cm: Some(rounds),
                    pressure_kpa: pressure,
                    ..TextScene::default()
                };
                let Ok(opened) = open_text(list, "list.txt", false, &scene) else {
                    refused += 1;
                    continue;
                };
                let report = derive(&opened.document.toy).report;
                let part = &report.parts[0];
                for figure in [part.widest_mm, part.length_mm, part.volume_ml, part.fabric_g, part.yarn_m] {
                    let good = [figure.low, figure.value, figure.high].iter().all(|x| x.is_finite() && *x >= 0.0);
                    assert!(good, "{list} at {stitches} × {rounds}, {pressure:?}: {figure:?}");
                }
                assert!(part.length_mm.value > 0.0, "{list} at {stitches} × {rounds}");
                // A tube of a stitch or two is all fabric: there is no room in it. One as wide as a toy has room.
                let wide = part.rounds.iter().any(|n| *n >= 12) && stitches == 20.0;
                assert!(!wide || part.volume_ml.value > 0.0, "{list}: no room inside");
                worked += 1;
            }
        }
    }
    assert!(worked > 100, "{worked} worked out, {refused} refused");
}
