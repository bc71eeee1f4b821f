//! The table of a settings card, taken out of its SVG by the rules that are drawn there.

use resvg::usvg::roxmltree;

use super::{Cell, PrintedRow};

/// Two upright rules so near are one, millimetres.
const ONE_COLUMN: f64 = 0.05;

/// A word of the SVG where it stands.
struct Word {
    text: String,
    left: f64,
    base: f64,
    is_bold: bool,
}

/// The rows of the table on a card, a band each, cut at its rules; winds may stand across or down.
pub(super) fn read_back(svg: &str, winds: &[String]) -> Vec<PrintedRow> {
    let document = roxmltree::Document::parse(svg).expect("an SVG");
    let number =
        |node: &roxmltree::Node<'_, '_>, name: &str| node.attribute(name).and_then(|text| text.parse::<f64>().ok());
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    let mut words = Vec::new();
    for node in document.descendants() {
        match node.tag_name().name() {
            "path" => {
                level.extend(node.attribute("d").and_then(|path| rule(path, false)));
                upright.extend(node.attribute("d").and_then(|path| rule(path, true)));
            }
            "text" if node.attribute("transform").is_none() && node.attribute("fill").is_none() => {
                // A fraction that is larger than its numerals is an element of its own.
                let leaves = node.descendants().filter(|leaf| leaf.is_text());
                let text: String = leaves.filter_map(|leaf| leaf.text()).collect();
                let (left, base) = (number(&node, "x").expect("a place"), number(&node, "y").expect("a place"));
                words.push(Word { text, left, base, is_bold: node.attribute("font-weight").is_some() });
            }
            _ => {}
        }
    }
    level.sort_by(f64::total_cmp);
    upright.sort_by(f64::total_cmp);
    upright.dedup_by(|a, b| (*a - *b).abs() < ONE_COLUMN);
    // Rules of the frame lie beyond the table; the one over the heads is the first under which the wind is told.
    let edges: Vec<f64> = [f64::MIN].into_iter().chain(upright).chain([f64::MAX]).collect();
    let row = |pair: &[f64]| -> Vec<Vec<&Word>> {
        let within = |left: f64, right: f64| {
            let here =
                |word: &&Word| pair[0] < word.base && word.base < pair[1] && left < word.left && word.left < right;
            let mut cell: Vec<&Word> = words.iter().filter(here).collect();
            cell.sort_by(|a, b| a.base.total_cmp(&b.base).then(a.left.total_cmp(&b.left)));
            cell
        };
        edges.windows(2).map(|edge| within(edge[0], edge[1])).collect()
    };
    let rows: Vec<Vec<Vec<&Word>>> = level.windows(2).map(row).collect();
    let all = |cell: &[&Word]| cell.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
    let Some(heads) = rows.iter().position(|row| all(&row[0]).contains(" WIND")) else { return Vec::new() };
    let is_wind = |cell: &[&Word]| winds.contains(&all(cell));
    let table = &rows[heads..];
    let (down, across) = (table.len(), table[0].len());
    if is_wind(&table[0][1]) {
        let of = |column: usize| (1..down).map(|row| cell_read(&table[row][column])).collect();
        return (1..across).map(|column| (all(&table[0][column]), of(column))).collect();
    }
    let of = |row: &Vec<Vec<&Word>>| (1..across).map(|column| cell_read(&row[column])).collect();
    table[1..].iter().filter(|row| is_wind(&row[0])).map(|row| (all(&row[0]), of(row))).collect()
}

/// How far down a level line stands, or how far right an upright one.
fn rule(path: &str, upright: bool) -> Option<f64> {
    const LEAST: f64 = 8.0;
    let (from, to) = path.strip_prefix('M')?.split_once('L')?;
    let ((x0, y0), (x1, y1)) = (from.split_once(' ')?, to.split_once(' ')?);
    let [x0, y0, x1, y1] = [x0, y0, x1, y1].map(|text| text.parse::<f64>().ok());
    let ((x0, y0), (x1, y1)) = (x0.zip(y0)?, x1.zip(y1)?);
    match upright {
        true => (x0 == x1 && (y1 - y0).abs() > LEAST).then_some(x0),
        false => (y0 == y1 && (x1 - x0).abs() > LEAST).then_some(y0),
    }
}

/// The sign that stands before a figure, the figure, and what stands beneath it.
fn cell_read(words: &[&Word]) -> Cell {
    let is_figure = |word: &&&Word| word.is_bold || word.text == "to";
    let joined = |words: Vec<&&Word>| words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
    let figure = joined(words.iter().filter(is_figure).collect());
    let is_sign = |word: &&&Word| ["●", "»", "±"].contains(&word.text.as_str());
    let sign = words.iter().find(|word| is_sign(word)).map(|word| word.text.clone()).unwrap_or_default();
    let rest = joined(words.iter().filter(|word| !is_figure(word) && !is_sign(word)).collect());
    if figure.is_empty() { (sign, rest, String::new()) } else { (sign, figure, rest) }
}
