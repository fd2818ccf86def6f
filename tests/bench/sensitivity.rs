//! How much height, mass, tip angle and neck move when one default of the model moves by its whole spread, and what to
//! measure first, for three samples. A table, no times.
//!
//! `cargo bench --no-default-features --bench sensitivity`

use toppleknot::document::{TextScene, open_text, samples};
use toppleknot::measure::{UNKNOWNS, Unknown, derive};

const TITLES: [&str; 3] = ["Puppet-booth crier", "Reed heron", "Sea-wall bear"];

fn main() {
    for sample in samples().iter().filter(|s| TITLES.contains(&s.title)) {
        let opened = open_text(sample.text, sample.title, true, &TextScene::default());
        let toy = opened.unwrap_or_else(|e| panic!("{}: {e}", sample.title)).document.toy;
        let derived = derive(&toy);
        let (causes, report) = (&derived.causes, &derived.report);
        let neck = causes.least_neck.map(|i| &report.necks[i]);
        println!("\n{}: height {:.0} mm", sample.title, report.toy.size_mm.map_or(0.0, |s| s.z.value));
        println!("mass {:.0} g", report.toy.mass_g.value);
        if let Some(stand) = &report.stand {
            let t = stand.tip_deg;
            println!("tip angle {:.1}° ({:.1}–{:.1})", t.value, t.low, t.high);
        }
        if let Some(n) = neck {
            let s = n.load_share;
            println!("least neck {} on {}: {:.2} ({:.2}–{:.2})", n.part, n.onto, s.value, s.low, s.high);
        }
        println!("\n| moved by its spread | height % | mass % | tip angle ° | neck share % |");
        println!("|---|---|---|---|---|");
        for unknown in UNKNOWNS.into_iter().chain([Unknown::Sewing]) {
            let find = |list: &[(Unknown, f64)]| list.iter().find(|(u, _)| *u == unknown).map(|(_, e)| *e);
            let percent = |list| find(list).map_or("–".to_owned(), |e| format!("{:+.1}", 100.0 * e.exp_m1()));
            let degrees = find(&causes.tip_deg).map_or("–".to_owned(), |e| format!("{e:.1}"));
            let (height, mass, neck) = (percent(&causes.height), percent(&causes.mass), percent(&causes.neck));
            println!("| {} | {height} | {mass} | {degrees} | {neck} |", unknown.words());
        }
        for first in &report.measure_first {
            println!("{} ({:.0} %)", first.message, 100.0 * first.share);
        }
    }
}
