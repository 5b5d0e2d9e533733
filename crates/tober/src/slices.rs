//! Long work in slices: a page that takes in a survey of hundreds of thousands of shots goes on
//! answering while it does.
//!
//! ```text
//!   work ──slice──┤ pause ├──slice──┤ pause ├──slice── done
//!                     └ the caller's: give the browser a turn, show how far it is, or give it up
//! ```
//!
//! What can take long is written once, as a future that comes to a pause after every slice. Where
//! nobody waits at a screen a pause is nothing, and the work is done in one go. To give work up,
//! drop its future.

use std::future::Future;
use std::pin::pin;
use std::task::{Context, Poll, Waker};

/// How far long work has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is going on, as the start of a sentence: `Reading lines`.
    pub doing: &'static str,
    /// Parts that are done.
    pub done: usize,
    /// Parts that there are.
    pub of: usize,
}

/// The pause that is none.
pub(crate) async fn no_pause(_: Progress) {}

/// Does work whose pauses are none.
pub(crate) fn in_one_go<T>(work: impl Future<Output = T>) -> T {
    let mut work = pin!(work);
    let mut nobody_waits = Context::from_waker(Waker::noop());
    loop {
        if let Poll::Ready(done) = work.as_mut().poll(&mut nobody_waits) {
            return done;
        }
    }
}
