//! Printing of quantities with as many digits as are known, in the units that people of the trade use.
