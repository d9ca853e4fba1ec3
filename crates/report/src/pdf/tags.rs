//! What each piece of a page is (heading, paragraph, picture, table), in the
//! order in which it is read: for those who hear a sheet instead of seeing it.

use krilla::tagging::{
    Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};
use std::num::NonZeroU16;

/// The structure of a document as it grows.
#[derive(Debug, Default)]
pub(crate) struct Tags {
    done: Vec<Node>,
    /// Elements begun, the outermost first.
    pub(super) open: Vec<Element>,
    /// Whether what is drawn now belongs to a piece already begun.
    pub(super) within: bool,
}

#[derive(Debug)]
pub(super) struct Element {
    pub(super) group: TagGroup,
    /// Whether text goes right into it; else it holds elements.
    pub(super) takes_text: bool,
}

impl Tags {
    /// The whole, for the document.
    pub(crate) fn tree(self) -> TagTree {
        let mut tree = TagTree::new();
        for node in self.done {
            tree.push(node);
        }
        tree
    }

    /// Puts a finished node where it belongs.
    pub(crate) fn put(&mut self, node: impl Into<Node>) {
        match self.open.last_mut() {
            Some(element) => element.group.push(node),
            None => self.done.push(node.into()),
        }
    }

    /// Whether a paragraph must bring its own element.
    pub(super) fn wants_element(&self) -> bool {
        !self.within && !self.open.last().is_some_and(|element| element.takes_text)
    }
}

/// What a piece of the page is.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// A heading: 1 for the sheet's title, 2 below it.
    Heading(u16),
    Paragraph,
    Caption,
    /// A list, its entries, their numbers and their texts.
    List,
    Entry,
    Number,
    Body,
    Table,
    Row,
    /// The head of a column, or of a row.
    ColumnHead,
    RowHead,
    Cell,
}

impl Kind {
    pub(super) fn takes_text(self) -> bool {
        !matches!(self, Self::List | Self::Entry | Self::Table | Self::Row)
    }

    pub(super) fn tag(self) -> TagKind {
        match self {
            Self::Heading(level) => {
                Tag::Hn(NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN), None).into()
            }
            Self::Paragraph => Tag::P.into(),
            Self::Caption => Tag::Caption.into(),
            Self::List => Tag::L(ListNumbering::Decimal).into(),
            Self::Entry => Tag::LI.into(),
            Self::Number => Tag::Lbl.into(),
            Self::Body => Tag::LBody.into(),
            Self::Table => Tag::Table.into(),
            Self::Row => Tag::TR.into(),
            Self::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
            Self::RowHead => Tag::TH(TableHeaderScope::Row).into(),
            Self::Cell => Tag::TD.into(),
        }
    }
}

/// A link as the page is drawn: its text is there, its target follows later.
pub(crate) fn link(text: Identifier, target: Identifier) -> TagGroup {
    TagGroup::with_children(Tag::Link, vec![text.into(), target.into()])
}
