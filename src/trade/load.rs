//! Functions of one chapter.
