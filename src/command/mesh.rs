//! `toppleknot mesh`.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::ValueEnum;

use super::args::OpenArgs;
use crate::document::write_whole;
use crate::export::mesh::{Side, glb, solid_mesh, stl};
use crate::export::not_written;
use crate::measure::make;

/// Arguments of `mesh`.
#[derive(Clone, Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct MeshArgs {
    /// What to open.
    #[command(flatten)]
    pub open: OpenArgs,
    /// Where to write it: a name that ends in .glb (with colours, to metres) or .stl (in mm, for printing).
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
    /// Which side of the fabric bounds the parts: the outside as it is seen, or the inside, which is the stuffing.
    #[arg(long, value_enum, default_value = "outside")]
    pub side: SideWord,
}

/// A side of the fabric.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SideWord {
    /// The toy as it is seen.
    Outside,
    /// The stuffing.
    Inside,
}

/// Writes the mesh of a file.
///
/// # Errors
/// Bad input, an ending that says no format, or a place that cannot be written; one sentence with the remedy.
pub fn mesh(args: &MeshArgs) -> Result<ExitCode, String> {
    let to = args.output.display();
    let ending = args.output.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let bytes_of = match ending.as_str() {
        "glb" => glb,
        "stl" => stl,
        _ => return Err(format!("{to}: its ending says no mesh; expected a name that ends in .glb or .stl")),
    };
    let side = match args.side {
        SideWord::Outside => Side::Outside,
        SideWord::Inside => Side::Inside,
    };
    let toy = args.open.open()?.document.toy;
    let mesh = solid_mesh(&toy, &make(&toy), side).map_err(|e| format!("{}: {e}", args.open.file.display()))?;
    let bytes = bytes_of(&mesh);
    write_whole(&args.output, &bytes).map_err(|e| not_written(&args.output, bytes.len(), &e))?;
    Ok(ExitCode::SUCCESS)
}
