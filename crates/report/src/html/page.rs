//! The page, part by part, in the order in which it is read.

use super::safe::{data, text};
use crate::ReportError;
use crate::content::{
    AgeWords, CAUTIONS, Content, method, ring_map_caption, unrolled_caption, unrolled_title,
};
use crate::count_sheet::CountSheet;
use crate::pdf::{cells, instructions, measured_from, notes};
use crate::sheet_input::{SheetInput, SheetPictures};
use std::fmt::Write as _;

/// The style; colors as in the charts.
const STYLE: &str = include_str!("sheet.css");

/// The whole page.
pub(crate) fn write(
    input: &SheetInput<'_>,
    content: &Content,
    pictures: &SheetPictures,
) -> Result<String, ReportError> {
    let mut page = String::new();
    head(&mut page, content);
    page.push_str("<body>\n");
    title(&mut page, content);
    if let Some((detail, advice)) = &content.refusal {
        picture(&mut page, pictures.ring_map.as_deref(), "The photo");
        section(&mut page, "tree", "No age can be given from this photo");
        paragraph(&mut page, &format!("{detail}."));
        page.push_str("<h3>What to do</h3>\n");
        paragraph(&mut page, &format!("{advice}."));
        page.push_str("</section>\n");
    } else {
        navigation(&mut page);
        tree(&mut page, input, content, pictures)?;
        rings(&mut page, input, content, pictures)?;
        check(&mut page, content, pictures);
        every_ring(&mut page, content);
    }
    cautions(&mut page);
    page.push_str("<footer><p>Made by Stumpbook from ");
    page.push_str(&text(&input.stump.reading.photo.file));
    page.push_str(". An estimate, not a survey.</p></footer>\n</body>\n</html>\n");
    Ok(page)
}

fn head(page: &mut String, content: &Content) {
    let face = |weight: &str, bytes: &[u8]| {
        format!(
            "@font-face{{font-family:\"{}\";font-weight:{weight};src:url({}) format(\"truetype\")}}\n",
            chart::font::FAMILY,
            data("font/ttf", bytes)
        )
    };
    let _ = write!(
        page,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'unsafe-inline'; img-src data:; font-src data:\">\n\
         <meta name=\"description\" content=\"What the rings of a sawn stump say\">\n\
         <title>{}: the owner&#39;s sheet</title>\n<style>\n{}{}{}</style>\n</head>\n",
        text(&content.title),
        face("400", chart::font::regular()),
        face("700", chart::font::bold()),
        STYLE
    );
}

fn title(page: &mut String, content: &Content) {
    let _ = write!(
        page,
        "<header><p class=\"kind\">What the rings say</p>\n<h1>{}</h1>\n<p class=\"soft\">{}</p></header>\n",
        text(&content.title),
        text(&content.subtitle)
    );
}

fn navigation(page: &mut String) {
    page.push_str(
        "<nav aria-label=\"Parts of the sheet\"><a href=\"#tree\">The tree</a> \
         <a href=\"#rings\">Rings and method</a> <a href=\"#check\">Check it on the stump</a> \
         <a href=\"#every-ring\">Every ring</a> <a href=\"#cautions\">Cautions</a></nav>\n",
    );
}

fn tree(
    page: &mut String,
    input: &SheetInput<'_>,
    content: &Content,
    pictures: &SheetPictures,
) -> Result<(), ReportError> {
    section(page, "tree", "The tree");
    page.push_str("<div class=\"beside\"><div>\n");
    match &pictures.ring_map {
        Some(jpeg) => picture(page, Some(jpeg), "The face with every ring drawn on it"),
        None => paragraph(
            page,
            "The photo was not found beside the stump's file, so its rings are not shown.",
        ),
    }
    let _ = write!(
        page,
        "<p class=\"caption\">{}</p>\n</div><div>\n",
        ring_map_caption(&input.stump.reading)
    );
    age(page, &content.age);
    page.push_str("<h3>How reliable is it?</h3>\n");
    // One long page has no page 3.
    let confidence: Vec<String> = content
        .confidence
        .iter()
        .map(|sentence| sentence.replace("(page 3)", "(below)"))
        .collect();
    list(page, "ul", &confidence);
    page.push_str("</div></div>\n");
    if !content.growth.is_empty() {
        figure(
            page,
            &chart::decades_svg(&content.growth, input.units)?,
            &content.decades,
        );
    }
    page.push_str("<h3>What stands out</h3>\n");
    list(page, "ol", &content.findings);
    page.push_str("</section>\n");
    Ok(())
}

fn age(page: &mut String, age: &AgeWords) {
    let _ = write!(page, "<p class=\"age\">{}</p>\n<p>", text(&age.headline));
    if let Some(range) = &age.range {
        let _ = write!(page, "<span class=\"range\">{}</span><br>", text(range));
    }
    let _ = writeln!(page, "{}</p>", text(&age.when));
    if age.parts.is_empty() {
        return;
    }
    page.push_str("<table class=\"sum\"><caption>Where the age comes from</caption>\n");
    for part in &age.parts {
        let range = part
            .range
            .as_ref()
            .map_or_else(String::new, |range| format!(" ({range})"));
        let how = if part.how.is_empty() {
            String::new()
        } else {
            format!("<br><span class=\"soft\">{}</span>", text(&part.how))
        };
        let _ = writeln!(
            page,
            "<tr><th scope=\"row\">{}</th><td>{}{}{how}</td></tr>",
            text(&part.years),
            text(part.what),
            text(&range)
        );
    }
    if let Some(sum) = &age.sum {
        let _ = writeln!(
            page,
            "<tr class=\"total\"><td colspan=\"2\">{}</td></tr>",
            text(sum)
        );
    }
    page.push_str("</table>\n");
}

fn rings(
    page: &mut String,
    input: &SheetInput<'_>,
    content: &Content,
    pictures: &SheetPictures,
) -> Result<(), ReportError> {
    let reading = &input.stump.reading;
    section(page, "rings", "Rings and method");
    if pictures.unrolled.is_some() {
        let _ = writeln!(page, "<h3>{}</h3>", unrolled_title(reading));
        picture(page, pictures.unrolled.as_deref(), unrolled_title(reading));
        let caption = unrolled_caption(reading);
        let _ = writeln!(page, "<p class=\"caption\">{caption}</p>");
    }
    let rings = growth::years_of_growth(reading, &input.stump.facts);
    if !rings.is_empty() {
        let remembered = &input.stump.facts.remembered;
        let increments =
            chart::increments_svg_with(rings, input.units, chart::Size::Full, remembered)?;
        figure(page, &increments, "");
        figure(page, &chart::against_trend_svg(rings)?, "");
        figure(page, &chart::area_svg(rings, input.units)?, "");
        figure(page, &chart::diameter_svg(rings, input.units)?, "");
    }
    if let Some(age) = reading.age.as_ref().filter(|age| !age.parts.is_empty()) {
        figure(page, &chart::age_svg(age)?, "");
    }
    page.push_str("<h3>The facts</h3>\n<table class=\"facts\">\n");
    for (name, value) in &content.facts {
        let _ = writeln!(
            page,
            "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
            text(name),
            text(value)
        );
    }
    page.push_str("</table>\n<h3>How it was read</h3>\n");
    list(page, "ol", &method(reading));
    if !content.missing.is_empty() {
        page.push_str("<h3>What would improve this estimate</h3>\n");
        list(page, "ul", &content.missing);
    }
    page.push_str("</section>\n");
    Ok(())
}

fn check(page: &mut String, content: &Content, pictures: &SheetPictures) {
    section(page, "check", "Check it on the stump");
    let Some(sheet) = &content.count else {
        paragraph(
            page,
            "There are no ring outlines to measure by, so nothing can be checked here.",
        );
        page.push_str("</section>\n");
        return;
    };
    paragraph(page, &instructions(sheet));
    if pictures.strip.is_some() {
        picture(
            page,
            pictures.strip.as_deref(),
            "The wood along the line, its outer end at the left, pith at the right",
        );
        let _ = writeln!(
            page,
            "<p class=\"caption\">The wood along that line: {} left, pith right.</p>",
            measured_from(sheet)
        );
    }
    table(page, sheet);
    page.push_str("</section>\n");
}

fn table(page: &mut String, sheet: &CountSheet) {
    let scaled = sheet.radius.length.is_some();
    let names: &[&str] = if scaled {
        &[
            "Ring, from pith",
            "Year",
            "Counted from edge",
            "Inches from edge",
            "Millimeters",
            "Agrees",
        ]
    } else {
        &[
            "Ring, from pith",
            "Year",
            "Counted from edge",
            "Way to the pith",
            "Agrees",
        ]
    };
    page.push_str("<table class=\"count\">\n<thead><tr>");
    for name in names {
        let _ = write!(page, "<th scope=\"col\">{name}</th>");
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for row in &sheet.rows {
        page.push_str("<tr>");
        for cell in cells(row).iter().take(names.len() - 1) {
            let _ = write!(page, "<td>{}</td>", text(cell));
        }
        page.push_str("<td>\u{2610}</td></tr>\n");
    }
    page.push_str("</tbody></table>\n");
    for note in notes(sheet) {
        let _ = writeln!(page, "<p class=\"caption\">{}</p>", text(note));
    }
}

fn every_ring(page: &mut String, content: &Content) {
    section(page, "every-ring", "Every ring");
    paragraph(
        page,
        "From the outermost ring inward; rings are numbered from the pith. Widths and radii are \
         means of all directions. A question mark: in doubt.",
    );
    page.push_str("<table class=\"rings\">\n<thead><tr>");
    for name in content.rings.columns {
        let _ = write!(page, "<th scope=\"col\">{name}</th>");
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for row in &content.rings.rows {
        page.push_str("<tr>");
        for cell in row {
            let _ = write!(page, "<td>{}</td>", text(cell));
        }
        page.push_str("</tr>\n");
    }
    page.push_str("</tbody></table>\n</section>\n");
}

fn cautions(page: &mut String) {
    section(page, "cautions", "Cautions");
    page.push_str("<ul>\n");
    for (title, said) in CAUTIONS {
        let _ = writeln!(
            page,
            "<li><strong>{}</strong> {}</li>",
            text(title),
            text(said)
        );
    }
    page.push_str("</ul>\n</section>\n");
}

/// Opens a section with its heading; the caller closes it.
fn section(page: &mut String, id: &str, title: &str) {
    let _ = writeln!(page, "<section id=\"{id}\">\n<h2>{}</h2>", text(title));
}

fn paragraph(page: &mut String, said: &str) {
    let _ = writeln!(page, "<p>{}</p>", text(said));
}

fn list(page: &mut String, kind: &str, sentences: &[String]) {
    if sentences.is_empty() {
        return;
    }
    let _ = writeln!(page, "<{kind}>");
    for sentence in sentences {
        let _ = writeln!(page, "<li>{}</li>", text(sentence));
    }
    let _ = writeln!(page, "</{kind}>");
}

fn picture(page: &mut String, jpeg: Option<&[u8]>, alt: &str) {
    if let Some(jpeg) = jpeg {
        let _ = writeln!(
            page,
            "<img src=\"{}\" alt=\"{}\">",
            data("image/jpeg", jpeg),
            text(alt)
        );
    }
}

fn figure(page: &mut String, svg: &str, caption: &str) {
    // An XML head has no place inside HTML.
    let svg = svg.find("<svg").and_then(|at| svg.get(at..)).unwrap_or(svg);
    let _ = writeln!(page, "<figure class=\"chart\" tabindex=\"0\">\n{svg}");
    if !caption.is_empty() {
        let _ = writeln!(page, "<figcaption>{}</figcaption>", text(caption));
    }
    page.push_str("</figure>\n");
}
