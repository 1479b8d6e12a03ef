//! The texts of each language, parsed once.

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::sync::LazyLock;
use wormrota_domain::site::Language;

/// The files of a language: names of foods and measures, then sentences.
pub(super) const fn sources(language: Language) -> [&'static str; 2] {
    match language {
        Language::English => [include_str!("food-en.ftl"), include_str!("en.ftl")],
        Language::Spanish => [include_str!("food-es.ftl"), include_str!("es.ftl")],
    }
}

type Texts = FluentBundle<FluentResource>;

static ALL_TEXTS: LazyLock<Vec<(Language, Texts)>> = LazyLock::new(|| {
    let languages = Language::ALL.iter();
    languages.map(|one| (*one, parse(*one))).collect()
});

fn parse(language: Language) -> Texts {
    let id = language.code().parse().unwrap_or_default();
    let mut texts = Texts::new_concurrent(vec![id]);
    // The marks that keep directions of writing apart would stand in letters as odd signs.
    texts.set_use_isolating(false);
    texts.set_formatter(Some(with_quarters));
    for source in sources(language) {
        // The tests let no faulty file through; a fault would leave one message out.
        let (Ok(resource) | Err((resource, _))) = FluentResource::try_new(source.to_owned());
        if let Err(twice) = texts.add_resource(resource) {
            tracing::error!(language = language.code(), ?twice, "texts are there twice");
        }
    }
    texts
}

/// Writes quarters as people do: 1½ and not 1.5. Other numbers keep their usual form.
fn with_quarters<M>(value: &FluentValue<'_>, _: &M) -> Option<String> {
    let FluentValue::Number(number) = value else {
        return None;
    };
    let (whole, part) = (number.value.trunc(), number.value.fract());
    let sign = [(0.25, '¼'), (0.5, '½'), (0.75, '¾')]
        .into_iter()
        .find_map(|(quarter, sign)| ((part - quarter).abs() < 1e-9).then_some(sign))?;
    Some(if whole < 1.0 {
        sign.to_string()
    } else {
        format!("{whole}{sign}")
    })
}

/// Whether the language has this message.
pub(super) fn has(language: Language, id: &str) -> bool {
    texts_of(language).is_some_and(|texts| texts.has_message(id))
}

/// A message, or the attribute of one, with its arguments put in.
///
/// A message that is missing or faulty is a defect that the tests find. Should one slip
/// through, its name is shown, because an answer with a gap is better than none.
pub(super) fn say(
    language: Language,
    id: &str,
    attribute: Option<&str>,
    args: &FluentArgs<'_>,
) -> String {
    let said = try_say(language, id, attribute, args);
    said.unwrap_or_else(|problem| left_out(language, id, &problem))
}

#[cfg(not(test))]
fn left_out(language: Language, id: &str, problem: &str) -> String {
    tracing::error!(language = language.code(), id, problem, "a text is missing");
    id.to_owned()
}

#[cfg(test)]
fn left_out(language: Language, id: &str, problem: &str) -> String {
    panic!("{}: {id}: {problem}", language.code());
}

fn try_say(
    language: Language,
    id: &str,
    attribute: Option<&str>,
    args: &FluentArgs<'_>,
) -> Result<String, String> {
    let texts = texts_of(language).ok_or("no texts")?;
    let message = texts.get_message(id).ok_or("no such message")?;
    let pattern = match attribute {
        Some(name) => message.get_attribute(name).map(|found| found.value()),
        None => message.value(),
    };
    let pattern = pattern.ok_or("it has no text")?;
    let mut errors = Vec::new();
    let text = texts.format_pattern(pattern, Some(args), &mut errors);
    match errors.first() {
        None => Ok(text.into_owned()),
        Some(error) => Err(error.to_string()),
    }
}

fn texts_of(language: Language) -> Option<&'static Texts> {
    let found = ALL_TEXTS.iter().find(|(one, _)| *one == language);
    found.map(|(_, texts)| texts)
}
