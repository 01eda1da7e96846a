//! Who carries how much of a current, at once and over time.
