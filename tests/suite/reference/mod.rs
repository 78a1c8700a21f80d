mod geodesy;
