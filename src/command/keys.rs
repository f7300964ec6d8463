//! `coldseam keys`: the reference of what a file may say.

use super::{Outcome, complain, print};
use crate::report::keys_text::{about, overview};

/// Prints the overview, or what is known of a block or key.
pub fn run(wanted: Option<&str>) -> Outcome {
    let Some(wanted) = wanted else {
        print(&overview());
        return Outcome::Done;
    };
    match about(wanted) {
        Ok(text) => {
            print(&text);
            Outcome::Done
        }
        Err(hint) => {
            complain(&format!("no block or key is called \"{wanted}\". {hint}\n"));
            Outcome::No
        }
    }
}
