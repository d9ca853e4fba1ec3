//! Why pictures cannot be joined.

/// Why pictures cannot be joined. Pictures are named by their place in the order given,
/// from 0; the caller puts their names in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum JoinError {
    /// There is nothing to join.
    #[error("there are fewer than two pictures to join")]
    TooFew,
    /// A picture is too small to find anything in it.
    #[error("picture {} is too small", picture + 1)]
    TooSmall {
        /// Which one.
        picture: usize,
    },
    /// Together they are larger than any picture should be.
    #[error("the joined picture would be too large")]
    TooLarge,
    /// Two pictures that should follow each other show too little of the same wood.
    #[error("pictures {} and {} do not show enough of the same wood", first + 1, second + 1)]
    Apart {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// Two pictures fit in more than one place, as a ring further in or out.
    #[error("pictures {} and {} fit in more than one place", first + 1, second + 1)]
    Ambiguous {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
}
