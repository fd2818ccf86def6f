//! The window: everything that knows the toolkit. State ([`bench`], without the toolkit) is apart from what shows
//! it: every panel is a function of the bench that tells what it wants done.

mod app;
mod bench;
mod canvas;
mod cards;
mod chooser;
mod command;
mod deeds;
mod dialogs;
mod export;
mod fields;
mod findings;
mod focus;
mod ghosts;
mod landing;
mod look;
mod making;
mod mending;
mod menus;
mod middle;
mod pages;
mod paint;
mod parts;
mod recovery;
mod rounds;
mod run;
mod seat;
mod settings;
mod solid_pane;
pub mod solid_view;
mod strip;
mod stuff;
mod welcome;
mod written;
mod yarns;

pub use app::App;
pub use chooser::{Ask, AskSave, Chooser, Wanted};
pub use command::Command;
pub use dialogs::{After, Dialog};
pub use export::{Choice, Export, Format, What};
pub use pages::Page;
pub use run::{Start, WindowError, run};
pub use settings::{Look, Settings};
