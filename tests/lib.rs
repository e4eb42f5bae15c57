//! Checks that cross modules, files or processes. Unit tests stand at the foot of each file of the core.
