//! The known word nearest to one that nobody knows.

/// Edits (insert, drop, replace, swap two neighbours) that make one word of another.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let replaced = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = replaced.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = least;
        }
    }
    rows[a.len()][b.len()]
}

/// Of longer lists only the beginning is looked at.
const MOST_KNOWN: usize = 5000;

/// The nearest of the known words, when one is near enough to be a slip of the pen.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.chars().count() > 60 {
        return None;
    }
    let plain = |w: &str| w.to_lowercase().replace('-', "_");
    let mine = plain(word);
    let mine_long = mine.chars().count();
    let most = (mine_long / 3).max(1);
    known
        .into_iter()
        .take(MOST_KNOWN)
        .filter(|k| k.chars().count().abs_diff(mine_long) <= most)
        .map(|k| (distance(&mine, &plain(k)), k))
        .filter(|(d, _)| *d <= most)
        .min_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, k)| k)
}

/// "did you mean 'x'?", or the known words when there are few, or nothing.
pub(super) fn suggest<'a>(word: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> String {
    if let Some(near) = nearest(word, known.clone()) {
        return format!("did you mean '{near}'?");
    }
    let all: Vec<_> = known.into_iter().collect();
    match all.len() {
        0 => String::new(),
        1..=12 => format!("known here: {}", all.join(", ")),
        n => format!("known here: {} and {} more", all[..10].join(", "), n - 10),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_slips_of_the_pen() {
        let known = ["one_way", "drop_class", "device", "loads"];
        for (wrong, right) in
            [("oneway", "one_way"), ("one-way", "one_way"), ("laods", "loads"), ("drop_clas", "drop_class")]
        {
            assert_eq!(nearest(wrong, known), Some(right));
        }
        assert_eq!(nearest("colour", known), None);
        assert_eq!(distance("kitten", "sitting"), 3);
    }
}
