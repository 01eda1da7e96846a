//! How wide a text is, at most.
//!
//! Papers ask for the reader's own sans-serif face, so the width is not known exactly. The table holds, for each
//! letter, the widest advance among the usual faces; a text drawn is never wider than it is measured here.

/// Advance of printable ASCII from the space on, in thousandths of the font size.
const ADVANCE: [u16; 95] = [
    330, 410, 470, 840, 650, 960, 800, 290, 400, 400, 510, 840, 330, 370, 330, 350, // space to /
    645, 645, 645, 645, 645, 645, 645, 645, 645, 645, // 0 to 9
    350, 350, 840, 840, 840, 570, 1030, // : to @
    700, 700, 735, 780, 680, 620, 790, 765, 310, 510, 680, 570, 875, 760, 800, 680, 800, 735, 680, 630, 745,
    700, 1000, 700, 690, 700, // A to Z
    400, 350, 400, 840, 560, 510, // [ to `
    625, 645, 570, 645, 625, 365, 645, 645, 290, 290, 590, 290, 985, 645, 625, 645, 645, 425, 535, 405, 645,
    605, 830, 605, 605, 540, // a to z
    640, 350, 640, 840, // { to ~
];

/// Bold letters are wider by at most this factor.
const BOLD: f64 = 1.18;

fn advance(c: char) -> f64 {
    let wide = match c {
        ' '..='~' => f64::from(ADVANCE[c as usize - 32]),
        '\u{a0}' | '·' | '†' | '’' | '‘' => 520.0,
        '²' | '°' | '³' => 520.0,
        '→' | '×' | '–' | 'µ' | '−' => 860.0,
        '\u{a1}'..='\u{24f}' => 1000.0,
        '\u{250}'..='\u{10ff}' => 1150.0,
        _ => 1400.0,
    };
    wide / 1000.0
}

/// An upper bound of the width of a text.
///
/// ```
/// use orlop_paper::svg::width;
/// assert!(width("MMMM", 10.0, false) > width("iiii", 10.0, false));
/// assert!(width("abc", 10.0, true) > width("abc", 10.0, false));
/// ```
#[must_use]
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    let sum: f64 = text.chars().map(advance).sum();
    sum * size * if bold { BOLD } else { 1.0 }
}

/// Breaks a text into at most `lines` lines no wider than `room`; what does not fit ends in an ellipsis.
#[must_use]
pub fn wrap(text: &str, room: f64, size: f64, bold: bool, lines: usize) -> Vec<String> {
    let fits = |s: &str| width(s, size, bold) <= room;
    let mut out: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut words: std::collections::VecDeque<String> =
        text.split([' ', '\t', '\n']).filter(|w| !w.is_empty()).map(ToString::to_string).collect();
    while let Some(word) = words.pop_front() {
        let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
        } else if !line.is_empty() {
            out.push(std::mem::take(&mut line));
            words.push_front(word);
        } else {
            // One word alone is too wide: cut it where it fits.
            let mut cut = 1.max(word.chars().count() - 1);
            while cut > 1 && !fits(&word.chars().take(cut).collect::<String>()) {
                cut -= 1;
            }
            out.push(word.chars().take(cut).collect());
            let rest: String = word.chars().skip(cut).collect();
            if !rest.is_empty() {
                words.push_front(rest);
            }
        }
        if out.len() >= lines {
            break;
        }
    }
    let over = !words.is_empty() || (!line.is_empty() && out.len() >= lines);
    if !line.is_empty() && out.len() < lines {
        out.push(line);
    }
    if over && let Some(last) = out.last_mut() {
        while !last.is_empty() && !fits(&format!("{last}...")) {
            last.pop();
        }
        let kept = last.trim_end().len();
        last.truncate(kept);
        last.push_str("...");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_fit() {
        let long = "A very long name with anextremelylongwordinitthatnevereverends and more to come after it";
        for lines in 1..5 {
            for room in [12.0, 25.0, 50.0, 300.0] {
                let out = wrap(long, room, 2.8, false, lines);
                assert!(out.len() <= lines);
                assert!(out.iter().all(|l| width(l, 2.8, false) <= room), "{out:?}");
            }
        }
        assert_eq!(wrap("Toilet macerator", 100.0, 2.8, false, 2), ["Toilet macerator"]);
        assert!(wrap("   ", 10.0, 2.8, false, 2).is_empty());
    }
}
