//! Lines that say what a customer wants, read into kinds, counts and locations.
