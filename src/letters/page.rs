//! A letter as HTML.

use super::render::{Block, Words};
use crate::html::{self, escaped};
use wormrota_domain::site::Language;

/// The page, with every part of it escaped.
pub(super) fn of(words: &Words, language: Language) -> String {
    let body: String = words.blocks.iter().map(markup).collect();
    html::letter(language, &words.subject, &body)
}

fn markup(block: &Block) -> String {
    match block {
        Block::Paragraph(text) => format!("<p>{}</p>\n", escaped(text)),
        Block::Heading(text) => {
            format!(
                "<h2 style=\"font-size:17px;margin:24px 0 0\">{}</h2>\n",
                escaped(text)
            )
        }
        Block::Aside(text) => {
            format!(
                "<p style=\"color:#555555;font-size:14px\">{}</p>\n",
                escaped(text)
            )
        }
        Block::Points(points) => {
            format!("<ul style=\"padding-left:20px\">\n{}</ul>\n", items(points))
        }
        Block::Steps(steps) => {
            format!("<ol style=\"padding-left:24px\">\n{}</ol>\n", items(steps))
        }
        Block::Request(request) => format!(
            "<pre style=\"white-space:pre-wrap;overflow-wrap:anywhere;padding:12px;\
             background:#f2f2ee;font:14px/1.4 monospace\">{}</pre>\n",
            escaped(request)
        ),
        Block::Links(links) => links.iter().map(button).collect(),
        Block::Foot(label, address) => format!(
            "<p style=\"font-size:14px\"><a href=\"{}\" style=\"color:#555555\">{}</a></p>\n",
            escaped(address),
            escaped(label)
        ),
    }
}

fn items(items: &[String]) -> String {
    let items = items.iter();
    let lines: Vec<String> = items
        .map(|item| format!("<li>{}</li>\n", escaped(item)))
        .collect();
    lines.concat()
}

/// Large enough for a thumb, and still a link where styles are left out.
fn button((label, address): &(String, String)) -> String {
    format!(
        "<p><a href=\"{}\" style=\"display:block;padding:12px 16px;border:2px solid #6b4a2b;\
         border-radius:4px;color:#4a3018;text-decoration:none;font-weight:bold\">{}</a></p>\n",
        escaped(address),
        escaped(label)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects readers from what somebody typed as a name.
    #[test]
    fn nothing_that_was_typed_becomes_markup() {
        let typed = || "<script>alert(\"1\")</script> & 'Bo'".to_owned();
        let words = Words {
            subject: typed(),
            blocks: vec![
                Block::Paragraph(typed()),
                Block::Points(vec![typed()]),
                Block::Steps(vec![typed()]),
                Block::Heading(typed()),
                Block::Request(typed()),
                Block::Links(vec![(typed(), typed())]),
                Block::Aside(typed()),
                Block::Foot(typed(), typed()),
            ],
        };
        let page = of(&words, Language::Spanish);
        assert!(!page.contains("<script"), "{page}");
        let safe = "&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;Bo&#39;";
        assert_eq!(page.matches(safe).count(), 11, "{page}");
        assert!(page.contains("<html lang=\"es\">"), "{page}");
    }
}
