// Data lines of the ESP32. One or two lines, and clocked strips: SPI with DMA. More: the I2S peripheral as a bus of
// eight wires with DMA, by the kit's driver. The processor only makes the bytes; the rest goes on without it.
// Never compiled by the maker's kit, nor run on a board.
#include "settings.hpp"

#if !defined(GLOWLOOM_ESP8266)

#include "chip.hpp"
#include "driver/spi_master.h"
#include "esp_heap_caps.h"
#include "esp_lcd_panel_io.h"
#include "esp_ota_ops.h"
#include "esp_task_wdt.h"
#include "esp_timer.h"
#include "freertos/FreeRTOS.h"
#include "freertos/task.h"

namespace chip {

using namespace glowloom;

static constexpr size_t SPI_LINES = 2;
static const spi_host_device_t HOSTS[SPI_LINES] = {SPI2_HOST, SPI3_HOST};

static Strip strip = {};
static size_t line_count = 0;
static uint8_t* sent[SPI_LINES] = {};  // taken once, when the output begins
static size_t room = 0;
static spi_device_handle_t spi[SPI_LINES] = {};
static spi_transaction_t transactions[SPI_LINES] = {};
static bool under_way[SPI_LINES] = {};
static esp_lcd_panel_io_handle_t bus = nullptr;
static volatile bool bus_is_free = true;
static int64_t free_at_us = 0;

static bool begin_spi(size_t longest) {
    room = (strip.clocked ? clocked_size(longest) : longest * quarters_size(strip.channels)) + 4;
    for (size_t i = 0; i < line_count; ++i) {
        spi_bus_config_t config = {};
        config.mosi_io_num = settings::DATA_PINS[i];
        config.miso_io_num = -1;
        config.sclk_io_num = strip.clocked ? settings::CLOCK_PINS[i] : -1;
        config.quadwp_io_num = config.quadhd_io_num = -1;
        config.max_transfer_sz = static_cast<int>(room);
        spi_device_interface_config_t device = {};
        device.clock_speed_hz = strip.clocked ? 4000000 : static_cast<int>(4000000000u / strip.bit_ns);
        device.mode = 0;
        device.spics_io_num = -1;
        device.queue_size = 1;
        sent[i] = static_cast<uint8_t*>(heap_caps_calloc(1, room, MALLOC_CAP_DMA));
        if (sent[i] == nullptr || spi_bus_initialize(HOSTS[i], &config, SPI_DMA_CH_AUTO) != ESP_OK ||
            spi_bus_add_device(HOSTS[i], &device, &spi[i]) != ESP_OK) {
            return false;
        }
    }
    return true;
}

static bool IRAM_ATTR bus_done(esp_lcd_panel_io_handle_t, esp_lcd_panel_io_event_data_t*, void*) {
    bus_is_free = true;
    return false;
}

static bool begin_bus(size_t longest) {
    room = longest * parallel_size(strip.channels) + 4;
    sent[0] = static_cast<uint8_t*>(heap_caps_calloc(1, room, MALLOC_CAP_DMA));
    esp_lcd_i80_bus_config_t wires = {};
    wires.clk_src = LCD_CLK_SRC_DEFAULT;
    wires.dc_gpio_num = settings::BUS_IDLE_PINS[0];
    wires.wr_gpio_num = settings::BUS_IDLE_PINS[1];
    for (size_t i = 0; i < 8; ++i) wires.data_gpio_nums[i] = settings::DATA_PINS[i];
    wires.bus_width = 8;
    wires.max_transfer_bytes = room;
    esp_lcd_i80_bus_handle_t handle = nullptr;
    esp_lcd_panel_io_i80_config_t config = {};
    config.cs_gpio_num = -1;
    config.pclk_hz = 4000000000u / strip.bit_ns;
    config.trans_queue_depth = 1;
    config.on_color_trans_done = bus_done;
    config.lcd_cmd_bits = config.lcd_param_bits = 8;
    return sent[0] != nullptr && esp_lcd_new_i80_bus(&wires, &handle) == ESP_OK &&
           esp_lcd_new_panel_io_i80(handle, &config, &bus) == ESP_OK;
}

bool begin_output(const Strip& of, size_t lines, size_t longest_line) {
    strip = of;
    line_count = lines;
    if (lines <= SPI_LINES) return begin_spi(longest_line);
    return !strip.clocked && begin_bus(longest_line);
}

bool output_is_free() {
    if (sent[0] == nullptr || esp_timer_get_time() < free_at_us || !bus_is_free) return false;
    for (size_t i = 0; i < line_count && i < SPI_LINES; ++i) {
        spi_transaction_t* done = nullptr;
        if (!under_way[i]) continue;
        if (spi_device_get_trans_result(spi[i], &done, 0) != ESP_OK) return false;
        under_way[i] = false;
    }
    return true;
}

void put_out(const Output& output) {
    size_t longest = 0;
    for (size_t i = 0; i < output.lane_count; ++i) longest = most(longest, output.lanes[i].pixels);
    free_at_us = esp_timer_get_time() + frame_microseconds(strip, longest, 4000000);
    if (output.lane_count > SPI_LINES) {
        bus_is_free = false;
        encode_parallel(strip, output.lanes, output.lane_count, 0, longest, sent[0]);
        esp_lcd_panel_io_tx_color(bus, -1, sent[0], longest * parallel_size(strip.channels));
        return;
    }
    for (size_t i = 0; i < output.lane_count; ++i) {
        const Lane& lane = output.lanes[i];
        size_t size = 0;
        if (strip.clocked) {
            size = clocked_size(lane.pixels);
            encode_clocked(strip, lane.lit, lane.pixels, sent[i]);
        } else {
            size = lane.pixels * quarters_size(strip.channels);
            encode_quarters(strip, lane.lit, lane.pixels, sent[i]);
        }
        transactions[i] = {};
        transactions[i].length = size * 8;
        transactions[i].tx_buffer = sent[i];
        under_way[i] = spi_device_queue_trans(spi[i], &transactions[i], 0) == ESP_OK;
    }
}

void begin_watchdog() { esp_task_wdt_add(xTaskGetCurrentTaskHandle()); }
// Until then the boot loader goes back to the program before, if this one does not come up.
void keep_program() { esp_ota_mark_app_valid_cancel_rollback(); }

}  // namespace chip

#endif
