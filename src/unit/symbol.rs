//! The table of unit symbols: name, spellings, dimension, exact size.
