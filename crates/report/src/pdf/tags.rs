//! What each piece of a page is (heading, paragraph, picture, table), in the
//! order in which it is read: for those who hear a sheet instead of seeing it.

use super::canvas::Canvas;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node, SpanTag, TableHeaderScope,
    Tag, TagGroup, TagKind, TagTree,
};
use std::num::NonZeroU16;

/// The structure of a document as it grows.
#[derive(Debug, Default)]
pub(crate) struct Tags {
    done: Vec<Node>,
    /// Elements begun, the outermost first.
    open: Vec<Element>,
    /// Whether what is drawn now belongs to a piece already begun.
    within: bool,
}

#[derive(Debug)]
struct Element {
    group: TagGroup,
    /// Whether text goes right into it; else it holds elements.
    takes_text: bool,
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
    fn wants_element(&self) -> bool {
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
    fn takes_text(self) -> bool {
        !matches!(self, Self::List | Self::Entry | Self::Table | Self::Row)
    }

    fn tag(self) -> TagKind {
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

impl<'a> Canvas<'a, '_> {
    /// Everything that `draw` draws is one element of this kind, or is in it.
    pub(crate) fn element<T>(&mut self, kind: Kind, draw: impl FnOnce(&mut Self) -> T) -> T {
        self.tags.open.push(Element {
            group: TagGroup::new(kind.tag()),
            takes_text: kind.takes_text(),
        });
        let drawn = draw(self);
        if let Some(element) = self.tags.open.pop() {
            self.tags.put(element.group);
        }
        drawn
    }

    /// As [`Self::element`] for a paragraph, where none is begun yet.
    pub(crate) fn own_paragraph<T>(&mut self, draw: impl FnOnce(&mut Self) -> T) -> T {
        if self.tags.wants_element() {
            self.element(Kind::Paragraph, draw)
        } else {
            draw(self)
        }
    }

    /// A picture or a chart, and what it shows in words.
    pub(crate) fn figure<T>(&mut self, shows: &str, draw: impl FnOnce(&mut Self) -> T) -> T {
        let (drawn, piece) = self.piece(ContentTag::Other, draw);
        if let Some(piece) = piece {
            let figure = Tag::Figure(Some(shows.to_owned()));
            self.tags
                .put(TagGroup::with_children(figure, vec![piece.into()]));
        }
        drawn
    }

    /// What only adorns the page, or is on every page.
    pub(crate) fn adorning<T>(&mut self, draw: impl FnOnce(&mut Self) -> T) -> T {
        let artifact = Artifact::with_kind(ArtifactType::Other);
        self.piece(ContentTag::Artifact(artifact), draw).0
    }

    /// A text of the element that is open.
    pub(crate) fn span(&mut self, draw: impl FnOnce(&mut Surface<'a>)) {
        let (_, piece) = self.piece(ContentTag::Span(SpanTag::empty()), |canvas| {
            draw(canvas.surface);
        });
        if let Some(piece) = piece {
            self.tags.put(piece);
        }
    }

    /// A text whose place in the structure is not known yet.
    pub(crate) fn loose(&mut self, draw: impl FnOnce(&mut Self)) -> Option<Identifier> {
        self.piece(ContentTag::Span(SpanTag::empty()), draw).1
    }

    /// Draws one marked piece; `None` where it belongs to one already begun.
    fn piece<T>(
        &mut self,
        tag: ContentTag<'_>,
        draw: impl FnOnce(&mut Self) -> T,
    ) -> (T, Option<Identifier>) {
        if self.tags.within {
            return (draw(self), None);
        }
        let piece = self.surface.start_tagged(tag);
        self.tags.within = true;
        let drawn = draw(self);
        self.tags.within = false;
        self.surface.end_tagged();
        (drawn, Some(piece))
    }
}
