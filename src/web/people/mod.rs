//! The people of the shop: first run, sign-in and sign-out, the quick switch, the list of people, and the
//! signed-in devices.

mod client;
pub mod confirm;
pub mod first_run;
pub mod granted;
pub mod passphrase;
pub mod roster;
pub mod sign_in;
pub mod sign_ins;
pub mod switch;
