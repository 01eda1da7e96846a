//! One line per published source: `published|file|source|cells|worst|note`, for the table in the README.
//!
//! Shared by every runner of published cases; shown by `cargo test -- --nocapture`.

/// Prints the line of one file.
pub fn line(file: &str, source: &str, cells: usize, worst: &str, note: &str) {
    let clean = |text: &str| text.replace('|', "/").replace('\n', " ");
    println!("published|{}|{}|{cells}|{}|{}", clean(file), clean(source), clean(worst), clean(note));
}
