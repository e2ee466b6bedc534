std::random_device seed;
