//! The people of the shop: the first run, signing in and out, the quick switch, who works here, and which
//! devices are signed in.

mod client;
pub mod first_run;
pub mod passphrase;
pub mod roster;
pub mod sign_in;
pub mod sign_ins;
pub mod switch;
