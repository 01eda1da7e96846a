//! The few pieces of HTML that results show in a notebook.

/// Text that may stand between tags or in an attribute.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe += "&amp;",
            '<' => safe += "&lt;",
            '>' => safe += "&gt;",
            '"' => safe += "&quot;",
            '\'' => safe += "&#39;",
            c => safe.push(c),
        }
    }
    safe
}

/// A small table of names and values with a caption; remarks below.
pub fn sheet(caption: &str, rows: &[(&str, String)], remarks: &[String]) -> String {
    let mut html = format!("<table class=\"orlop\"><caption>{}</caption><tbody>", escape(caption));
    for (name, value) in rows.iter().filter(|(_, value)| !value.is_empty()) {
        html += &format!(
            "<tr><th style=\"text-align:left\">{}</th><td style=\"text-align:left\">{}</td></tr>",
            escape(name),
            escape(value)
        );
    }
    html += "</tbody></table>";
    for remark in remarks {
        html += &format!("<p><em>{}</em></p>", escape(remark));
    }
    html
}
