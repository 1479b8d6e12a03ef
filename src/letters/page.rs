//! A letter as HTML: one column, readable on a telephone, without images and without anything
//! to fetch.

use crate::wording::LetterWords;
use wormrota_domain::site::Language;

/// The page, with every part of it escaped.
pub(super) fn of(words: &LetterWords, request: Option<&str>, language: Language) -> String {
    let (language, title) = (language.code(), escaped(&words.subject));
    let request = request.map_or_else(String::new, |request| {
        format!(
            "<pre style=\"white-space:pre-wrap;overflow-wrap:anywhere;padding:12px;\
             background:#f2f2ee;font:14px/1.4 monospace\">{}</pre>\n",
            escaped(request)
        )
    });
    let (before, after) = (paragraphs(&words.before), paragraphs(&words.after));
    format!(
        "<!doctype html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n</head>\n<body style=\"margin:0;padding:16px;\
         background:#ffffff;color:#222222;font:16px/1.5 sans-serif\">\n\
         <div style=\"max-width:34em;margin:0 auto\">\n\
         {before}{request}{after}</div>\n</body>\n</html>\n"
    )
}

fn paragraphs(parts: &[String]) -> String {
    let one = |part: &String| format!("<p>{}</p>\n", escaped(part));
    parts.iter().map(one).collect()
}

/// Text in which nothing is markup.
fn escaped(text: &str) -> String {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects readers from what somebody typed as a name.
    #[test]
    fn nothing_that_was_typed_becomes_markup() {
        let typed = "<script>alert(\"1\")</script> & 'Bo'";
        let words = LetterWords {
            subject: typed.to_owned(),
            before: vec![typed.to_owned()],
            after: vec![typed.to_owned()],
        };
        let page = of(&words, Some(typed), Language::Spanish);
        assert!(!page.contains("<script"), "{page}");
        let safe = "&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;Bo&#39;";
        assert_eq!(page.matches(safe).count(), 4, "{page}");
        assert!(page.contains("<html lang=\"es\">"), "{page}");
    }
}
