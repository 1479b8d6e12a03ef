//! The frames of everything that is shown as HTML: letters and the pages behind their links.
//! One column, readable on a telephone, without images, scripts or anything to fetch.

use wormrota_domain::site::Language;

/// The colours of a page, as CSS writes them.
struct Colours {
    paper: &'static str,
    ink: &'static str,
    /// Of buttons, links and edges.
    wood: &'static str,
    /// What stands on a button.
    on_wood: &'static str,
    /// Behind what is to be copied.
    shade: &'static str,
}

const BY_DAY: Colours = Colours {
    paper: "#ffffff",
    ink: "#222222",
    wood: "#6b4a2b",
    on_wood: "#ffffff",
    shade: "#f2f2ee",
};

/// Where the reader's device is set to dark colours.
const BY_NIGHT: Colours = Colours {
    paper: "#1b1916",
    ink: "#ece8e1",
    wood: "#d8b48c",
    on_wood: "#1b1916",
    shade: "#2b2823",
};

/// How the parts of a page look, whatever its colours.
const SHAPES: &str = "body{margin:0;padding:16px;background:var(--paper);color:var(--ink);\
    font:16px/1.5 sans-serif}\
    main{max-width:34em;margin:0 auto}h1{font-size:22px}h2{font-size:17px}\
    a{color:var(--wood)}ul{padding-left:20px}ol{padding-left:28px}\
    input,select,button{box-sizing:border-box;width:100%;padding:12px;font:16px sans-serif;\
    border:2px solid var(--wood);border-radius:4px;background:var(--paper);color:var(--ink)}\
    button{background:var(--wood);color:var(--on-wood);font-weight:bold}\
    pre{white-space:pre-wrap;overflow-wrap:anywhere;padding:12px;background:var(--shade);\
    font:14px/1.4 monospace}";

impl Colours {
    fn variables(&self) -> String {
        let Self {
            paper,
            ink,
            wood,
            on_wood,
            shade,
        } = self;
        format!(
            ":root{{--paper:{paper};--ink:{ink};--wood:{wood};--on-wood:{on_wood};--shade:{shade}}}"
        )
    }
}

/// Text in which nothing is markup.
pub(crate) fn escaped(text: &str) -> String {
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

/// A whole page around a body that is markup already, in the light or dark colours that its
/// reader's device wants.
pub(crate) fn page(language: Language, title: &str, body: &str) -> String {
    let (day, night) = (BY_DAY.variables(), BY_NIGHT.variables());
    let head = format!(
        "<meta name=\"color-scheme\" content=\"light dark\">\n<style>:root{{color-scheme:light \
         dark}}{day}@media(prefers-color-scheme:dark){{{night}}}{SHAPES}</style>\n"
    );
    document(
        language,
        title,
        &head,
        &format!("<body>\n<main>\n{body}</main>\n</body>\n"),
    )
}

/// A whole letter around a body that is markup already. Mail programs keep styles only where
/// they stand in the parts themselves, and turn colours dark on their own.
pub(crate) fn letter(language: Language, title: &str, body: &str) -> String {
    let body = format!(
        "<body style=\"margin:0;padding:16px;background:#ffffff;color:#222222;\
         font:16px/1.5 sans-serif\">\n<div style=\"max-width:34em;margin:0 auto\">\n{body}</div>\n\
         </body>\n"
    );
    document(language, title, "", &body)
}

fn document(language: Language, title: &str, head: &str, body: &str) -> String {
    let (language, title) = (language.code(), escaped(title));
    format!(
        "<!doctype html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n{head}</head>\n{body}</html>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.2, the definition of that name).
    fn luminance(colour: &str) -> f64 {
        let part = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// Protects readers with weak eyes, by day and by night: text keeps the 7 to 1 of WCAG 2.2,
    /// success criterion 1.4.6, and with it the 3 to 1 of edges (1.4.11).
    #[test]
    fn what_is_read_stands_out_in_both_colours() {
        assert!((contrast("#ffffff", "#000000") - 21.0).abs() < 1e-9);
        for colours in [BY_DAY, BY_NIGHT] {
            let Colours {
                paper,
                ink,
                wood,
                on_wood,
                shade,
            } = colours;
            for (front, back) in [(ink, paper), (wood, paper), (on_wood, wood), (ink, shade)] {
                let ratio = contrast(front, back);
                assert!(ratio >= 7.0, "{front} on {back}: {ratio:.2}");
            }
        }
    }
}
