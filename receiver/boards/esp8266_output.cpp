// One data line by the ESP8266's second UART, its output inverted, on GPIO2 (D4): the kit's driver feeds it from a
// ring by interrupt, so that Wi-Fi runs on. Clocked strips by its SPI are not made for this board.
// Never compiled by the maker's kit, nor run on a board.
#include "settings.hpp"

#if defined(GLOWLOOM_ESP8266)

#include "chip.hpp"
#include "driver/uart.h"
#include "esp_timer.h"
#include "esp_task_wdt.h"

namespace chip {

using namespace glowloom;

static bool begun = false;
static int64_t free_at_us = 0;
static uint32_t frame_us = 0;

bool begin_output(const Strip& strip, size_t lines, size_t longest_line) {
    if (strip.clocked || lines != 1) return false;
    uart_config_t config = {};
    config.baud_rate = static_cast<int>(4000000000u / strip.bit_ns);  // four parts to a bit
    config.data_bits = UART_DATA_6_BITS;
    config.parity = UART_PARITY_DISABLE;
    config.stop_bits = UART_STOP_BITS_1;
    config.flow_ctrl = UART_HW_FLOWCTRL_DISABLE;
    const int ring = static_cast<int>(longest_line * quarters_size(strip.channels) + 128);
    frame_us = frame_microseconds(strip, longest_line, 0);
    begun = uart_param_config(UART_NUM_1, &config) == ESP_OK &&
            uart_driver_install(UART_NUM_1, 0, ring, 0, nullptr, 0) == ESP_OK &&
            uart_set_line_inverse(UART_NUM_1, UART_INVERSE_TXD) == ESP_OK;
    uart_intr_config_t interrupts = {};
    // Half of the 128 places are left when it asks for more: 160 us until the line would fall silent.
    interrupts.txfifo_empty_intr_thresh = 64;
    interrupts.intr_enable_mask = UART_TXFIFO_EMPTY_INT_ENA_M;
    if (begun) uart_intr_config(UART_NUM_1, &interrupts);
    return begun;
}

bool output_is_free() { return begun && esp_timer_get_time() >= free_at_us; }

void put_out(const Output& output) {
    // In pieces, so that a second copy of the frame takes no memory.
    uint8_t piece[16 * 16];
    const Lane& lane = output.lanes[0];
    const size_t each = 16;
    for (size_t at = 0; at < lane.pixels; at += each) {
        const size_t count = least(each, lane.pixels - at);
        encode_uart(*output.strip, lane.lit + at * output.strip->channels, count, piece);
        uart_write_bytes(UART_NUM_1, reinterpret_cast<const char*>(piece), count * quarters_size(output.strip->channels));
    }
    free_at_us = esp_timer_get_time() + frame_us;
}

void begin_watchdog() { esp_task_wdt_init(); }
void keep_program() {}

}  // namespace chip

#endif
