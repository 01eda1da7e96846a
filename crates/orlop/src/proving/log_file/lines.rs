//! Lines and fields of delimited text.

/// The fields of one line; quotes are taken off, and separators within quotes are none.
pub(super) fn fields(line: &[u8], separator: u8) -> Vec<&[u8]> {
    let mut out = Vec::new();
    let mut at = 0;
    loop {
        let (field, end) = field(line, at, |b| b == separator);
        out.push(field);
        if end >= line.len() {
            return out;
        }
        at = end + 1;
    }
}

/// The field that begins at a place, and where it ends: at a byte that `stop` names, or at the end.
#[inline]
pub(super) fn field(text: &[u8], at: usize, stop: impl Fn(u8) -> bool) -> (&[u8], usize) {
    if text.get(at) == Some(&b'"') {
        let mut close = at + 1;
        while let Some(b) = text.get(close) {
            if *b == b'\n' || (*b == b'"' && text.get(close + 1) != Some(&b'"')) {
                break;
            }
            close += if *b == b'"' { 2 } else { 1 };
        }
        let close = close.min(text.len());
        let end = text[close..].iter().position(|b| stop(*b)).map_or(text.len(), |n| close + n);
        return (&text[at + 1..close], end);
    }
    let end = text[at..].iter().position(|b| stop(*b)).map_or(text.len(), |n| at + n);
    (&text[at..end], end)
}

/// Text of a field for people, cut when it is long.
pub(super) fn shown(field: &[u8]) -> String {
    let text = String::from_utf8_lossy(field);
    let clean: String =
        text.trim().chars().take(40).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if text.chars().count() > 40 { format!("{clean}...") } else { clean }
}
