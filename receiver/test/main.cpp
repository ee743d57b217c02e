// Runs every test; the one argument is the folder of packets.txt and orders.txt.
#include "check.hpp"
#include "tests.hpp"

int main(int count, char** arguments) {
    const char* folder = count > 1 ? arguments[1] : "test";
    test_packets(folder);
    test_slip();
    test_receiver();
    test_guard();
    test_store();
    test_orders(folder);
    test_device();
    test_joining();
    test_waveforms();
    std::printf("%d checks, %d failed\n", check::made, check::failed);
    return check::failed == 0 ? 0 : 1;
}
