int cross_fix();
