//! A settings sheet set in several ways: what is the same in some of them is made and measured once, when the first of them
//! asks for it. Knows no words.

use std::cell::OnceCell;
use std::rc::Rc;

use super::sheet::Sheet;
use super::ways::{Figures, Names, WAYS, Way};
use crate::cards::parts::frame::SmallPrints;
use crate::cards::parts::table::{Cell, Column, Grid, Measured, MeasuredCard, MeasuredCell, MeasuredRow, Ruled, Under};

/// A cell that several ways share.
type Shared<'a> = Rc<MeasuredCell<'a>>;

/// The cells of a sheet in every way.
pub struct Parts<'a> {
    sheet: &'a Sheet<'a>,
    card: Ruled,
    unders: Vec<Under>,
    /// Of each of [`WAYS`], its columns, and the corner of each block.
    ways: [OnceCell<(Vec<Column>, Vec<Cell>)>; WAYS.len()],
    /// By [`Names`] and block, what stands at the left of each row but the corner.
    names: [OnceCell<Vec<Vec<Cell>>>; 3],
    /// By [`Figures`], the rest of each row.
    figures: [OnceCell<Vec<Vec<Cell>>>; 4],
}

/// The same with their words measured.
pub struct MeasuredParts<'a> {
    parts: &'a Parts<'a>,
    small: Rc<SmallPrints<'a>>,
    names: [OnceCell<Vec<Vec<Shared<'a>>>>; 3],
    figures: [OnceCell<Vec<Vec<Shared<'a>>>>; 4],
    /// The whole card in each of [`WAYS`].
    ways: [OnceCell<MeasuredCard<'a>>; WAYS.len()],
}

impl<'a> Parts<'a> {
    /// None of them is made yet.
    pub fn of(sheet: &'a Sheet<'a>) -> Self {
        let (ways, names, figures) = Default::default();
        Parts { sheet, card: card(sheet), unders: unders(sheet), ways, names, figures }
    }

    fn way(&self, way: usize) -> &(Vec<Column>, Vec<Cell>) {
        self.ways[way].get_or_init(|| {
            let blocks = &self.sheet.blocks;
            let heads = blocks.first().map_or(0, |block| block.heads.len());
            let across = if WAYS[way].across { self.unders.len().saturating_sub(1) } else { heads };
            (WAYS[way].columns(across), blocks.iter().map(|block| WAYS[way].corner(block)).collect())
        })
    }

    fn names(&self, names: Names) -> &[Vec<Cell>] {
        let of_blocks = || self.sheet.blocks.iter().map(|block| names.of_block(self.sheet, block)).collect();
        self.names[names as usize].get_or_init(of_blocks)
    }

    fn figures(&self, figures: Figures) -> &[Vec<Cell>] {
        let of_blocks = || self.sheet.blocks.iter().flat_map(|block| figures.of_block(self.sheet, block)).collect();
        self.figures[figures as usize].get_or_init(of_blocks)
    }
}

impl<'a> MeasuredParts<'a> {
    /// None of them is measured yet.
    pub fn of(parts: &'a Parts<'a>) -> Self {
        let (names, figures, ways) = Default::default();
        MeasuredParts { parts, small: Rc::new(parts.card.small_prints()), names, figures, ways }
    }

    /// The card in one of [`WAYS`].
    pub fn set(&self, way: usize) -> &MeasuredCard<'a> {
        self.ways[way].get_or_init(|| {
            let (columns, corners) = self.parts.way(way);
            let way = WAYS[way];
            let rows = if way.across { self.rows_across(way, corners) } else { self.rows(way, corners) };
            let grid = Grid { columns, look: way.look(), least_row_mm: 0.0, boxed_in: false };
            MeasuredCard::new(&self.parts.card, Measured::new(grid, rows, None), &self.small)
        })
    }

    /// The heads on top and the controls under each other.
    fn rows(&self, way: Way, corners: &'a [Cell]) -> Vec<MeasuredRow<'a>> {
        let cells = self.at_left(way.names, corners).zip(self.figures(way.figures));
        let cells = cells.map(|(left, figures)| std::iter::once(left).chain(figures.iter().cloned()).collect());
        cells.zip(&self.parts.unders).map(|(cells, under)| MeasuredRow::Cells(cells, *under)).collect()
    }

    /// The same turned: the names on top, over a heavy line, and a row for each head.
    fn rows_across(&self, way: Way, corners: &'a [Cell]) -> Vec<MeasuredRow<'a>> {
        let names = MeasuredRow::Cells(self.at_left(way.names, corners).collect(), Under::HeavyLine);
        let figures = self.figures(way.figures);
        let row = |column: usize| figures.iter().filter_map(|row| row.get(column).cloned()).collect();
        let heads = 0..figures.first().map_or(0, Vec::len);
        std::iter::once(names).chain(heads.map(|head| MeasuredRow::Cells(row(head), Under::Line))).collect()
    }

    /// What stands at the left of each row.
    fn at_left(&self, names: Names, corners: &'a [Cell]) -> impl Iterator<Item = Shared<'a>> {
        let measured = || self.parts.names(names).iter().map(|cells| measured(cells)).collect();
        let blocks = corners.iter().zip(self.names[names as usize].get_or_init(measured));
        blocks
            .flat_map(|(corner, names)| std::iter::once(Rc::new(MeasuredCell::of(corner))).chain(names.iter().cloned()))
    }

    fn figures(&self, figures: Figures) -> &[Vec<Shared<'a>>] {
        let measured = || self.parts.figures(figures).iter().map(|cells| measured(cells)).collect();
        self.figures[figures as usize].get_or_init(measured)
    }
}

/// The card without its table.
fn card(sheet: &Sheet) -> Ruled {
    Ruled {
        size: sheet.size.clone(),
        surround: sheet.surround.clone(),
        name: sheet.name.clone(),
        description: format!("Settings by wind, {} controls", sheet.controls.len()),
        ..Ruled::default()
    }
}

/// What parts each row of the blocks from the next.
fn unders(sheet: &Sheet) -> Vec<Under> {
    let mut unders = Vec::new();
    for block in &sheet.blocks {
        if let Some(last) = unders.last_mut() {
            *last = Under::HeavyLine;
        }
        unders.extend(block.below.iter().map(|_| Under::Nothing));
        unders.push(Under::HeavyLine);
        let rows = sheet.controls.len().min(block.settings.len()) + block.rest.len();
        unders.extend(std::iter::repeat_n(Under::Line, rows));
    }
    unders
}

fn measured(cells: &[Cell]) -> Vec<Shared<'_>> {
    cells.iter().map(MeasuredCell::of).map(Rc::new).collect()
}
