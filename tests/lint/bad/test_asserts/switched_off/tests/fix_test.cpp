TEST(Fix, DISABLED_Meets) { EXPECT_EQ(1, f()); }
