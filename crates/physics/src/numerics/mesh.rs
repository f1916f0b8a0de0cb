//! One-dimensional meshes: cell faces, centres and volumes for plate, cylinder, sphere and tube.
