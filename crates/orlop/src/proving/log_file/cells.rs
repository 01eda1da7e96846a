//! One cell of a file: a number, a moment, or nothing.

/// Powers of ten that a double holds exactly.
const EXACT: [f64; 16] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// What loggers write where there is no value.
const MISSING: [&str; 10] = ["", "nan", "na", "n/a", "null", "none", "-", "--", "---", "#n/a"];

/// What a cell holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    Number(f64),
    Missing,
    Unreadable,
}

/// A plain number at the beginning of `text`, and where it ends: at most fifteen digits, so that the value is the nearest double. None
/// leaves the cell to [`cell`].
#[inline]
pub(super) fn plain(text: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let negative = text.first() == Some(&b'-');
    let mut at = usize::from(negative);
    let begin = at;
    let mut digits: u64 = 0;
    while let Some(d) = text.get(at).map(|b| b.wrapping_sub(b'0')).filter(|d| *d < 10) {
        digits = digits.wrapping_mul(10).wrapping_add(u64::from(d));
        at += 1;
    }
    let mut count = at - begin;
    let mut places = 0;
    if text.get(at) == Some(&decimal) {
        at += 1;
        let point = at;
        while let Some(d) = text.get(at).map(|b| b.wrapping_sub(b'0')).filter(|d| *d < 10) {
            digits = digits.wrapping_mul(10).wrapping_add(u64::from(d));
            at += 1;
        }
        places = at - point;
        count += places;
    }
    if count == 0 || count > 15 {
        return None;
    }
    let value = digits as f64 / EXACT[places];
    Some((if negative { -value } else { value }, at))
}

/// A whole cell as a number.
pub(super) fn cell(text: &[u8], decimal: u8) -> Cell {
    let Ok(text) = std::str::from_utf8(text) else { return Cell::Unreadable };
    let text = text.trim();
    if MISSING.iter().any(|m| text.eq_ignore_ascii_case(m)) {
        return Cell::Missing;
    }
    let numeric = |b: u8| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'e' | b'E') || b == decimal;
    if !text.bytes().all(numeric) {
        return Cell::Unreadable;
    }
    let point = if decimal == b'.' { text.to_string() } else { text.replace(char::from(decimal), ".") };
    point.parse::<f64>().ok().filter(|v| v.is_finite()).map_or(Cell::Unreadable, Cell::Number)
}

/// A moment in seconds: a date (`2026-05-04`, `2026/05/04`, `04.05.2026`) with or without a time of day, or a time of day or an elapsed time
/// alone (`7:05:30`, `105:00:00`). A date with slashes and the year last could mean two days, and is not read.
pub(super) fn moment(text: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(text).ok()?.trim();
    let (date, clock) = match text.split_once(['T', ' ']) {
        Some((date, clock)) => (Some(date), Some(clock.trim())),
        None if text.contains(':') => (None, Some(text)),
        None => (Some(text), None),
    };
    let days = date.map_or(Some(0.0), days)?;
    let seconds = clock.map_or(Some(0.0), seconds_of_clock)?;
    Some(days * 86400.0 + seconds)
}

fn whole(text: &str) -> Option<i64> {
    (!text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

/// Days since 1 March of the year 0, of the Gregorian calendar.
fn days(date: &str) -> Option<f64> {
    let mark = ['-', '/', '.'].into_iter().find(|m| date.contains(*m))?;
    let parts: Vec<i64> = date.split(mark).map(whole).collect::<Option<_>>()?;
    let (year, month, day) = match (&parts[..], mark) {
        (&[d, m, y], '.') => (y, m, d),
        (&[y, m, d], _) if y >= 1000 => (y, m, d),
        _ => return None,
    };
    if !(1000..=9999).contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    // Years that begin in March put the leap day last.
    let (y, m) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    Some((365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1) as f64)
}

fn seconds_of_clock(clock: &str) -> Option<f64> {
    let clock = clock.trim_end_matches(['Z', 'z']);
    // A distance from universal time shifts every row alike, unless it changes.
    let (clock, shift) = match clock.rfind(['+', '-']) {
        Some(at) if at > 0 => {
            let sign = if clock.as_bytes()[at] == b'-' { -1.0 } else { 1.0 };
            let zone = &clock[at + 1..];
            let (h, m) = zone.split_once(':').or_else(|| zone.split_at_checked(2)).unwrap_or((zone, "0"));
            let minutes = if m.is_empty() { 0 } else { whole(m)? };
            (&clock[..at], sign * (whole(h)? * 3600 + minutes * 60) as f64)
        }
        _ => (clock, 0.0),
    };
    let mut parts = clock.trim().split(':');
    let hours = whole(parts.next()?)?;
    let minutes = whole(parts.next()?)?;
    let seconds = match parts.next() {
        None => 0.0,
        Some(s) => match cell(s.replace(',', ".").as_bytes(), b'.') {
            Cell::Number(s) if (0.0..61.0).contains(&s) => s,
            _ => return None,
        },
    };
    if parts.next().is_some() || minutes > 59 {
        return None;
    }
    Some((hours * 3600 + minutes * 60) as f64 + seconds - shift)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_numbers_are_those_of_the_standard_library() {
        for text in ["0", "-3.25", "12.80", "1700000000.125", ".5", "5.", "-0", "123456789012345"] {
            let (value, end) = plain(text.as_bytes(), b'.').unwrap();
            assert_eq!((value, end), (text.parse().unwrap(), text.len()), "{text}");
        }
        for text in ["", "-", ".", "1234567890123456", "x"] {
            assert_eq!(plain(text.as_bytes(), b'.'), None, "{text}");
        }
        assert_eq!(cell(b" 1,5e2 ", b','), Cell::Number(150.0));
        assert_eq!(cell(b"1.234,5", b','), Cell::Unreadable);
        assert_eq!(cell(b"N/A", b'.'), Cell::Missing);
    }

    #[test]
    fn moments() {
        let day = |t: &str| moment(t.as_bytes());
        assert_eq!(day("2024-03-01").unwrap() - day("2024-02-28").unwrap(), 2.0 * 86400.0);
        assert_eq!(day("1970-01-01").unwrap() + 86400.0 * 19782.0, day("2024-02-29").unwrap());
        assert_eq!(day("04.05.2026 07:05:30"), day("2026-05-04T07:05:30Z"));
        assert_eq!(day("2026-05-04T07:05:30+02:00"), day("2026-05-04 05:05:30"));
        assert_eq!(day("105:00:00"), Some(378_000.0));
        assert_eq!(day("0:00:01.5"), Some(1.5));
        for bad in ["05/04/2026 07:00:00", "7", "2026-13-01", "12:61:00", "1:2:3:4", "soon"] {
            assert_eq!(day(bad), None, "{bad}");
        }
    }
}
