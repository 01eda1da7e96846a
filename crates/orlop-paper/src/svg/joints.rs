//! Segments and joints in a line for each leg of each circuit, tinted by their heat at full load; numbers where it counts.

use super::canvas::{Anchor, POINT, Type, ink};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::view::{JointMap, JointPiece, JointRow, SAID_FROM_W};

const NAME: Type = Type::plain(8.0).bold();
const TEXT: Type = Type::plain(7.5);
const SMALL: Type = Type::plain(7.0);
/// Where the names end and the strips begin, and where these end.
const NAMES: f64 = 58.0;
const FROM: f64 = 66.0;
/// One leg with the numbers above it.
const LEG: f64 = 8.0;
const LINE: f64 = 3.5;
/// Set in for each circuit on the way, at most so often.
const STEP: f64 = 3.5;
const DEEPEST: usize = 6;
/// From this on in watts, with a tint that gets darker: told apart in grey and by people who see few colours.
pub(super) const SCALE: [(f64, &str, &str); 4] = [
    (0.0, "#fffde0", "below 0.5 W"),
    (0.5, "#fed98e", "0.5 W to 5 W"),
    (5.0, "#e0701a", "5 W to 50 W: soon"),
    (50.0, "#7a2504", "50 W and more: at once"),
];
pub(super) fn tint(watts: f64) -> &'static str {
    SCALE.iter().rev().find(|(from, _, _)| watts >= *from).map_or(SCALE[0].1, |s| s.1)
}

/// Middle and half width of a part.
fn place(part: &str) -> (f64, f64) {
    match part {
        "start" => (FROM + 4.0, 1.7),
        "device" => (FROM + 20.0, 4.0),
        "switch" => (FROM + 38.0, 4.0),
        "conductor" => (FROM + 72.0, 22.0),
        _ => (FROM + 112.0, 1.7),
    }
}

/// The legend, then one drawing for each circuit, in their order.
#[must_use]
pub fn joints(map: &JointMap) -> Vec<Canvas> {
    let mut out = vec![legend(map)];
    out.extend(map.circuits.iter().map(circuit));
    out
}

fn legend(map: &JointMap) -> Canvas {
    let mut c = Canvas::new(PAGE_WIDTH, 13.0);
    for (n, (_, colour, words)) in SCALE.iter().enumerate() {
        let x = 45.0 * n as f64;
        c.rect([x, 0.6, 6.0, 3.0], colour, ink::DARK, 0.4);
        c.text(x + 7.5, 3.2, TEXT, words);
    }
    let marks = "Heat at full load; of a conductor that beyond a sound one. Thick edge: bad. ? and broken edge: cannot be told. What was not read is not drawn.";
    c.text(0.0, 7.6, SMALL.fill(ink::SOFT), marks);
    let mut heads = vec![
        ("start", "lug"),
        ("device", "device"),
        ("switch", "switch"),
        ("conductor", "conductor"),
        ("end", "lug"),
    ];
    heads.retain(|h| map.circuits.iter().flat_map(|r| &r.positive).any(|p| p.part == h.0) || h.0 != "switch");
    for (part, words) in heads {
        c.text(place(part).0, 12.0, SMALL.anchor(Anchor::Middle), words);
    }
    if map.left_out > 0 {
        let words = format!("{} circuits without readings not shown", map.left_out);
        c.text(0.0, 12.0, SMALL.fill(ink::SOFT), &words);
    }
    c
}

fn circuit(row: &JointRow) -> Canvas {
    let read = !(row.positive.is_empty() && row.negative.is_empty());
    let remarks: Vec<(char, Vec<String>)> = row
        .remarks
        .iter()
        .map(|r| (r.mark, wrap(&r.text, PAGE_WIDTH - FROM - 5.0, TEXT.points * POINT, false, 4)))
        .collect();
    let lines: usize = remarks.iter().map(|r| r.1.len()).sum();
    let legs = if read { 2.0 * LEG } else { LEG };
    let mut c = Canvas::new(PAGE_WIDTH, legs + LINE * lines as f64 + 1.4);
    let x = STEP * row.depth.min(DEEPEST) as f64;
    if row.depth > 0 {
        c.line((x - 2.0, 0.6), (x - 2.0, 3.0), 0.4, ink::FINE);
        c.line((x - 2.0, 3.0), (x - 0.4, 3.0), 0.4, ink::FINE);
    }
    let cut = |text: &str, style: Type| {
        wrap(text, NAMES - x, style.points * POINT, style.bold, 1).first().cloned().unwrap_or_default()
    };
    c.text(x, 4.0, NAME, &cut(&row.id, NAME));
    if !read {
        c.text(FROM, 4.0, SMALL.fill(ink::SOFT), "not read");
        let room = NAMES - x - NAME.width(&cut(&row.id, NAME)) - 2.0;
        let name = wrap(&row.name, room.max(0.0), TEXT.points * POINT, false, 1);
        c.text(NAMES, 4.0, TEXT.fill(ink::SOFT).anchor(Anchor::End), name.first().map_or("", String::as_str));
        return c;
    }
    c.text(x, 8.0, TEXT.fill(ink::SOFT), &cut(&row.name, TEXT));
    for (at, (sign, leg)) in [("+", &row.positive), ("\u{2212}", &row.negative)].into_iter().enumerate() {
        let y = LEG * at as f64 + 5.6;
        c.text(FROM - 4.0, y + 1.0, TEXT, sign);
        c.line((FROM, y), (FROM + 116.0, y), 0.4, ink::FINE);
        leg.iter().for_each(|p| piece(&mut c, p, y));
    }
    let mut y = legs + 2.8;
    for (mark, lines) in remarks {
        c.text(FROM - 4.0, y, TEXT.bold().fill(ink::ALERT), &mark.to_string());
        for line in lines {
            c.text(FROM, y, TEXT, &line);
            y += LINE;
        }
    }
    c
}

fn piece(c: &mut Canvas, p: &JointPiece, y: f64) {
    let (x, half) = place(p.part);
    let edge = if p.bad { 0.9 } else { 0.4 };
    let h = if p.part == "conductor" { 1.0 } else { 1.7 };
    if half < 2.0 {
        c.circle(x, y, half, tint(p.watts), ink::DARK, edge);
    } else {
        c.rect([x - half, y - h, 2.0 * half, 2.0 * h], tint(p.watts), ink::DARK, edge);
    }
    if p.doubt {
        let (l, r, t, b) = (x - half - 0.8, x + half + 0.8, y - h - 0.8, y + h + 0.8);
        for (from, to) in [((l, t), (r, t)), ((r, t), (r, b)), ((r, b), (l, b)), ((l, b), (l, t))] {
            c.dashed(from, to, 0.5, ink::ALERT);
        }
    }
    if p.bad || p.doubt || p.watts >= SAID_FROM_W {
        let style = if p.bad { SMALL.bold() } else { SMALL };
        let label = if p.doubt { format!("{} ?", p.label) } else { p.label.clone() };
        c.text(x, y - 3.0, style.anchor(Anchor::Middle), &label);
    }
}
