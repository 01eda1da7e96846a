//! Bars of voltage drop: each load against its own limit.

use super::canvas::{Anchor, POINT, Type, ink};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::view::Load;

const TEXT: Type = Type::plain(8.0);
const SMALL: Type = Type::plain(7.0).fill(ink::SOFT);
/// Height of a bar's row.
const PITCH: f64 = 5.0;
/// Rows on a figure.
const ROWS: usize = 46;
/// Left end of bars, and where a bar at its limit ends.
const FROM: f64 = 66.0;
const LIMIT: f64 = 136.0;
/// Longest bar drawn; longer ones are cut and say so by an arrow head.
const MOST: f64 = 150.0;

/// Draws the drop of every load as a share of its limit, the closest first; one canvas per 46 loads.
#[must_use]
pub fn drops(loads: &[Load]) -> Vec<Canvas> {
    let mut all: Vec<_> = loads.iter().filter_map(|l| l.drop.as_ref().map(|d| (l, d))).collect();
    all.sort_by(|a, b| b.1.of_limit.total_cmp(&a.1.of_limit).then_with(|| a.0.id.cmp(&b.0.id)));
    all.chunks(ROWS)
        .map(|rows| {
            let height = 9.0 + PITCH * rows.len() as f64;
            let mut c = Canvas::new(PAGE_WIDTH, height);
            c.text(FROM, 4.0, SMALL, "no drop");
            c.text(LIMIT, 4.0, SMALL.anchor(Anchor::Middle), "limit");
            c.line((FROM, 5.5), (FROM, height - 1.0), 0.2, ink::DARK);
            for (at, (load, drop)) in rows.iter().enumerate() {
                let y = 6.5 + PITCH * at as f64;
                let name = format!("{} {}", load.id, load.name);
                let name = wrap(&name, FROM - 2.0, TEXT.points * POINT, false, 1);
                c.text(0.0, y + 3.3, TEXT, name.first().map_or("", String::as_str));
                let long = FROM + (LIMIT - FROM) * drop.of_limit.max(0.0);
                let over = drop.of_limit > 1.0;
                let fill = if over { ink::ALERT } else { ink::FINE };
                c.rect([FROM, y + 0.8, long.min(MOST) - FROM, PITCH - 1.8], fill, "", 0.0);
                if long > MOST {
                    let tip = [(MOST, y + 0.3), (MOST + 2.2, y + 2.3), (MOST, y + 4.3)];
                    c.path(&tip, true, ink::ALERT, ink::ALERT, 0.1);
                }
                let style = if over { TEXT.bold().fill(ink::ALERT) } else { TEXT };
                let text = format!("{} of {}", drop.share, drop.limit);
                let text = wrap(&text, PAGE_WIDTH - MOST - 3.0, style.points * POINT, style.bold, 1);
                let text = text.first().map_or("", String::as_str);
                c.text(PAGE_WIDTH, y + 3.3, style.anchor(Anchor::End), text);
            }
            c.line((LIMIT, 5.5), (LIMIT, height - 1.0), 0.5, ink::DARK);
            c
        })
        .collect()
}
