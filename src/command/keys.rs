//! `coldseam keys`: the reference of what a file may say.

use super::{Exit, complain, print};
use crate::report::keys_text::{about, overview};

/// Prints the overview, or what is known of a block or key.
pub fn run(wanted: Option<&str>) -> Exit {
    let Some(wanted) = wanted else {
        print(&overview());
        return Exit::Done;
    };
    match about(wanted) {
        Ok(text) => {
            print(&text);
            Exit::Done
        }
        Err(hint) => {
            complain(&format!("no block or key is called \"{wanted}\". {hint}\n"));
            Exit::No
        }
    }
}
