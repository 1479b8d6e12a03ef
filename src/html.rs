//! The frame of everything that is shown as HTML: letters and the pages behind their links.
//! One column, readable on a telephone, without images, scripts or anything to fetch.

use wormrota_domain::site::Language;

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

/// A whole page around a body that is markup already.
pub(crate) fn page(language: Language, title: &str, body: &str) -> String {
    let (language, title) = (language.code(), escaped(title));
    format!(
        "<!doctype html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n</head>\n<body style=\"margin:0;padding:16px;\
         background:#ffffff;color:#222222;font:16px/1.5 sans-serif\">\n\
         <div style=\"max-width:34em;margin:0 auto\">\n{body}</div>\n</body>\n</html>\n"
    )
}
