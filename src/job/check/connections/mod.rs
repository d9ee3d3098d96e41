//! How things are connected: what has no wire, what is on the wrong side of a battery switch or on the wrong
//! bank, and what holds more than it is made for.
//!
//! The rules are those of an electrician who reads a plan before any wire is cut. Each function is one rule, and
//! the line above it has its source. A rule that lacks an input says so.

mod bank;
mod contacts;
mod feeds;
mod holders;
mod lengths;
mod positions;
mod side;
mod studs;
mod upstream;
mod vapor;
mod wires;

use super::context::CheckContext;
use super::report::Report;
use feeds::Feeds;
use upstream::Upstream;

pub(super) fn check(context: &mut CheckContext<'_>, report: &Report) {
    let (feeds, upstream) = (Feeds::of(context.plan), Upstream::of(context));
    wires::check(context, &feeds);
    feeds::check(context, &feeds, &upstream);
    side::check(context, &feeds, &upstream);
    bank::check(context, &upstream);
    contacts::check(context);
    studs::check(context);
    positions::check(context, report);
    holders::check(context, report);
    lengths::check(context, report);
    vapor::check(context);
}
