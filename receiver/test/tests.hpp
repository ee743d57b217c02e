// Every group of tests.
#ifndef GLOWLOOM_TESTS_HPP
#define GLOWLOOM_TESTS_HPP

void test_packets(const char* folder);
void test_slip();
void test_receiver();
void test_guard();
void test_store();
void test_orders(const char* folder);
void test_device();
void test_waveforms();
void test_joining();

#endif
