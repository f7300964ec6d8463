//! A bar for runs that take long, where someone looks.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A run shorter than this shows no progress.
const PATIENCE: Duration = Duration::from_secs(1);

/// How far a run has come; used by several threads.
pub struct Progress {
    bar: ProgressBar,
    start: Instant,
    is_shown: Mutex<bool>,
}

impl Progress {
    /// Of `count` things to be solved.
    pub fn new(count: usize, what: &str) -> Self {
        let bar = ProgressBar::with_draw_target(Some(count as u64), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template(&format!("solving {what} {{bar:40}} {{pos}}/{{len}}"))
        {
            bar.set_style(style);
        }
        Self { bar, start: Instant::now(), is_shown: Mutex::new(false) }
    }

    /// One more is done. The bar appears only where it is worth it and someone looks.
    pub fn one_done(&self) {
        self.bar.inc(1);
        if let Ok(mut is_shown) = self.is_shown.lock()
            && !*is_shown
            && self.start.elapsed() > PATIENCE
            && std::io::stderr().is_terminal()
        {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
            *is_shown = true;
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
