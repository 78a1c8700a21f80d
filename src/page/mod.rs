//! What the planning page works with: a job that is edited in its own text, its plan kept in stages,
//! and what is shown of it. Nothing here touches a file, a clock or the network; the command line's
//! page does that.
//!
//! An [`Edit`] changes the text of a job ([`Draft`] keeps every state, for undo and redo); [`KeptStages`]
//! plans a state from the first stage that the change reaches; [`Shown`] is what a person sees of it.

mod draft;
mod edit;
mod fit_offer;
mod kept_stages;
mod line_changes;
mod shown;
mod tier_tables;
mod toml_text;
mod understood;

pub use draft::{Draft, DraftState};
pub use edit::{Edit, EditError, Outline};
pub use fit_offer::{FitOffer, FitWanted};
pub use kept_stages::{KeptStages, Planned};
pub use line_changes::{LineChange, line_changes};
pub use shown::{AtPlace, Shown, ShownError, Tried, written_tiers};
pub use tier_tables::TierEdit;
pub use understood::{Chosen, ChosenFile, Understood, job_text, look_into};
