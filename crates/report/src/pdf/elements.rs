//! What a canvas draws, put into the document's structure piece by piece.

use super::canvas::Canvas;
use super::tags::{Element, Kind};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag, Tag, TagGroup};

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
