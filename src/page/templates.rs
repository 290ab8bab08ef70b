//! The templates, filled in. Everything but the style sheet and the script is escaped.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value, context};

use crate::page::policy;
use crate::page::view::Page;

const STYLE: &str = include_str!("web/page.css");

/// Each file of the script, in the order they run.
const SCRIPT: &str = concat!(
    "\"use strict\";\n",
    include_str!("web/tables.js"),
    include_str!("web/labels.js"),
    include_str!("web/map.js"),
);

/// What only a page with flow paths needs.
const TOWARD_STYLE: &str = include_str!("web/toward.css");

const PAGE: &str = "page.html";

/// Every template by the name that others include it under.
const TEMPLATES: &[(&str, &str)] = &[
    (PAGE, include_str!("templates/page.html")),
    ("macros.html", include_str!("templates/macros.html")),
    ("map.html", include_str!("templates/map.html")),
    ("rose.html", include_str!("templates/rose.html")),
    ("residuals.html", include_str!("templates/residuals.html")),
    ("heads.html", include_str!("templates/heads.html")),
    ("findings.html", include_str!("templates/findings.html")),
    ("triangles.html", include_str!("templates/triangles.html")),
    ("sure.html", include_str!("templates/sure.html")),
    ("toward.html", include_str!("templates/toward.html")),
    ("method.html", include_str!("templates/method.html")),
    ("record.html", include_str!("templates/record.html")),
    ("methods/linear.html", include_str!("templates/methods/linear.html")),
    ("methods/natural-neighbour.html", include_str!("templates/methods/natural-neighbour.html")),
    (
        "methods/smooth-natural-neighbour.html",
        include_str!("templates/methods/smooth-natural-neighbour.html"),
    ),
    ("methods/kriging.html", include_str!("templates/methods/kriging.html")),
    ("methods/thin-plate.html", include_str!("templates/methods/thin-plate.html")),
    ("methods/inverse-distance.html", include_str!("templates/methods/inverse-distance.html")),
];

/// The page as HTML.
pub(super) fn render(page: &Page) -> String {
    let fill = || -> Result<String, minijinja::Error> {
        let mut templates = Environment::new();
        templates.set_undefined_behavior(UndefinedBehavior::Strict);
        templates
            .set_syntax(SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build()?);
        for (name, text) in TEMPLATES {
            templates.add_template(name, text)?;
        }
        let more = if page.toward.is_some() { TOWARD_STYLE } else { "" };
        let style = [STYLE, more].concat();
        templates.get_template(PAGE)?.render(context! {
            policy => policy::policy(&style, SCRIPT),
            style => Value::from_safe_string(style),
            script => Value::from_safe_string(SCRIPT.to_owned()),
            ..Value::from(Serde(page))
        })
    };
    fill().unwrap_or_else(|e| panic!("this is a bug in headfall: the page's templates: {e:#}"))
}
