// What the glue uses of the chip maker's kit, declared from memory of its documentation so that the glue compiles here.
// It shows that the glue is C++ and agrees with itself and with the core; not that the kit is as written here.
#ifndef GLOWLOOM_SDK_DECLARED_H
#define GLOWLOOM_SDK_DECLARED_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

extern "C" {

typedef int esp_err_t;
#define ESP_OK 0
#define IRAM_ATTR

int64_t esp_timer_get_time(void);
void esp_restart(void);
uint32_t esp_get_free_heap_size(void);
void esp_fill_random(void* to, size_t size);
typedef enum { ESP_RST_UNKNOWN, ESP_RST_POWERON, ESP_RST_EXT, ESP_RST_SW, ESP_RST_PANIC, ESP_RST_INT_WDT,
               ESP_RST_TASK_WDT, ESP_RST_WDT, ESP_RST_DEEPSLEEP, ESP_RST_BROWNOUT } esp_reset_reason_t;
esp_reset_reason_t esp_reset_reason(void);
typedef enum { ESP_MAC_WIFI_STA, ESP_MAC_WIFI_SOFTAP, ESP_MAC_BT, ESP_MAC_ETH } esp_mac_type_t;
esp_err_t esp_read_mac(uint8_t* mac, esp_mac_type_t type);

typedef void* TaskHandle_t;
void vTaskDelay(uint32_t ticks);
TaskHandle_t xTaskGetCurrentTaskHandle(void);
#define pdMS_TO_TICKS(ms) ((ms) / 10)
#if defined(GLOWLOOM_ESP8266)
esp_err_t esp_task_wdt_init(void);
#else
esp_err_t esp_task_wdt_add(TaskHandle_t task);
#endif
esp_err_t esp_task_wdt_reset(void);

typedef enum { ESP_PARTITION_TYPE_APP, ESP_PARTITION_TYPE_DATA } esp_partition_type_t;
typedef enum { ESP_PARTITION_SUBTYPE_ANY = 0xff } esp_partition_subtype_t;
typedef struct { uint32_t address; uint32_t size; } esp_partition_t;
const esp_partition_t* esp_partition_find_first(esp_partition_type_t, esp_partition_subtype_t, const char* label);
esp_err_t esp_partition_read(const esp_partition_t*, size_t offset, void* to, size_t size);
esp_err_t esp_partition_write(const esp_partition_t*, size_t offset, const void* from, size_t size);
esp_err_t esp_partition_erase_range(const esp_partition_t*, size_t offset, size_t size);
esp_err_t esp_partition_get_sha256(const esp_partition_t*, uint8_t* digest);

typedef uint32_t esp_ota_handle_t;
const esp_partition_t* esp_ota_get_running_partition(void);
const esp_partition_t* esp_ota_get_next_update_partition(const esp_partition_t*);
esp_err_t esp_ota_begin(const esp_partition_t*, size_t size, esp_ota_handle_t*);
esp_err_t esp_ota_write(esp_ota_handle_t, const void*, size_t);
esp_err_t esp_ota_end(esp_ota_handle_t);
esp_err_t esp_ota_abort(esp_ota_handle_t);
esp_err_t esp_ota_set_boot_partition(const esp_partition_t*);
esp_err_t esp_ota_mark_app_valid_cancel_rollback(void);

typedef enum { MBEDTLS_MD_SHA256 = 6 } mbedtls_md_type_t;
typedef struct mbedtls_md_info_t mbedtls_md_info_t;
const mbedtls_md_info_t* mbedtls_md_info_from_type(mbedtls_md_type_t);
int mbedtls_md_hmac(const mbedtls_md_info_t*, const unsigned char* key, size_t key_size, const unsigned char* input,
                    size_t size, unsigned char* output);
typedef struct { uint32_t state[32]; } mbedtls_sha256_context;
void mbedtls_sha256_init(mbedtls_sha256_context*);
void mbedtls_sha256_free(mbedtls_sha256_context*);
int mbedtls_sha256_starts(mbedtls_sha256_context*, int is224);
int mbedtls_sha256_update(mbedtls_sha256_context*, const unsigned char*, size_t);
int mbedtls_sha256_finish(mbedtls_sha256_context*, unsigned char*);

esp_err_t mdns_init(void);
esp_err_t mdns_hostname_set(const char*);
typedef struct { const char *key, *value; } mdns_txt_item_t;
esp_err_t mdns_service_add(const char* name, const char* type, const char* protocol, uint16_t port, mdns_txt_item_t*, size_t);
esp_err_t mdns_service_remove_all(void);

typedef enum { UART_DATA_5_BITS, UART_DATA_6_BITS, UART_DATA_7_BITS, UART_DATA_8_BITS } uart_word_length_t;
typedef enum { UART_STOP_BITS_1 = 1 } uart_stop_bits_t;
typedef enum { UART_PARITY_DISABLE } uart_parity_t;
typedef enum { UART_HW_FLOWCTRL_DISABLE } uart_hw_flowcontrol_t;
typedef enum { UART_NUM_0, UART_NUM_1 } uart_port_t;
typedef struct {
    int baud_rate;
    uart_word_length_t data_bits;
    uart_parity_t parity;
    uart_stop_bits_t stop_bits;
    uart_hw_flowcontrol_t flow_ctrl;
    uint8_t rx_flow_ctrl_thresh;
} uart_config_t;
typedef struct { uint32_t intr_enable_mask; uint8_t rx_timeout_thresh, txfifo_empty_intr_thresh, rxfifo_full_thresh; } uart_intr_config_t;
#define UART_TXFIFO_EMPTY_INT_ENA_M (1u << 1)
#define UART_INVERSE_TXD (1u << 22)
esp_err_t uart_param_config(uart_port_t, const uart_config_t*);
esp_err_t uart_driver_install(uart_port_t, int rx, int tx, int queue_size, void* queue, int flags);
esp_err_t uart_set_line_inverse(uart_port_t, uint32_t mask);
esp_err_t uart_intr_config(uart_port_t, const uart_intr_config_t*);
int uart_read_bytes(uart_port_t, void* to, uint32_t size, uint32_t ticks);
int uart_write_bytes(uart_port_t, const void* from, size_t size);

typedef const char* esp_event_base_t;
typedef void (*esp_event_handler_t)(void*, esp_event_base_t, int32_t, void*);
extern esp_event_base_t WIFI_EVENT, IP_EVENT, ETH_EVENT;
enum { IP_EVENT_STA_GOT_IP, IP_EVENT_ETH_GOT_IP };
enum { WIFI_EVENT_STA_DISCONNECTED = 5 };
enum { ETHERNET_EVENT_DISCONNECTED = 3 };
esp_err_t esp_event_loop_create_default(void);
esp_err_t esp_event_handler_register(esp_event_base_t, int32_t, esp_event_handler_t, void*);
typedef struct { uint32_t addr; } esp_ip4_addr_t;
typedef struct { esp_ip4_addr_t ip, netmask, gw; } esp_netif_ip_info_t;
typedef struct { esp_netif_ip_info_t ip_info; } ip_event_got_ip_t;
esp_err_t nvs_flash_init(void);
esp_err_t nvs_flash_erase(void);
typedef struct esp_netif_obj esp_netif_t;
typedef struct { int a; } esp_netif_config_t;
#define ESP_NETIF_DEFAULT_ETH() {0}
esp_err_t esp_netif_init(void);
esp_netif_t* esp_netif_create_default_wifi_sta(void);
esp_netif_t* esp_netif_create_default_wifi_ap(void);
esp_netif_t* esp_netif_new(const esp_netif_config_t*);
esp_err_t esp_netif_attach(esp_netif_t*, void*);

typedef struct { int a; } wifi_init_config_t;
#define WIFI_INIT_CONFIG_DEFAULT() {0}
typedef enum { WIFI_STORAGE_FLASH, WIFI_STORAGE_RAM } wifi_storage_t;
typedef enum { WIFI_MODE_NULL, WIFI_MODE_STA, WIFI_MODE_AP, WIFI_MODE_APSTA } wifi_mode_t;
typedef enum { WIFI_IF_STA, WIFI_IF_AP } wifi_interface_t;
typedef enum { WIFI_PS_NONE } wifi_ps_type_t;
typedef enum { WIFI_AUTH_OPEN, WIFI_AUTH_WEP, WIFI_AUTH_WPA_PSK, WIFI_AUTH_WPA2_PSK } wifi_auth_mode_t;
typedef struct { uint8_t ssid[32], password[64]; } wifi_sta_config_t;
typedef struct { uint8_t ssid[32], password[64]; uint8_t ssid_len, channel; wifi_auth_mode_t authmode; uint8_t ssid_hidden, max_connection; } wifi_ap_config_t;
typedef union { wifi_ap_config_t ap; wifi_sta_config_t sta; } wifi_config_t;
typedef struct { uint8_t bssid[6]; uint8_t ssid[33]; int8_t rssi; } wifi_ap_record_t;
esp_err_t esp_wifi_init(const wifi_init_config_t*);
esp_err_t esp_wifi_set_storage(wifi_storage_t);
esp_err_t esp_wifi_set_mode(wifi_mode_t);
esp_err_t esp_wifi_start(void);
esp_err_t esp_wifi_connect(void);
esp_err_t esp_wifi_disconnect(void);
esp_err_t esp_wifi_set_ps(wifi_ps_type_t);
esp_err_t esp_wifi_get_config(wifi_interface_t, wifi_config_t*);
esp_err_t esp_wifi_set_config(wifi_interface_t, wifi_config_t*);
esp_err_t esp_wifi_sta_get_ap_info(wifi_ap_record_t*);

typedef struct esp_eth_mac_s esp_eth_mac_t;
typedef struct esp_eth_phy_s esp_eth_phy_t;
typedef void* esp_eth_handle_t;
typedef struct { int a; } eth_mac_config_t;
typedef struct { int a; } eth_esp32_emac_config_t;
typedef struct { int32_t phy_addr; uint32_t reset_timeout_ms; int reset_gpio_num; } eth_phy_config_t;
typedef struct { esp_eth_mac_t* mac; esp_eth_phy_t* phy; } esp_eth_config_t;
#define ETH_MAC_DEFAULT_CONFIG() {0}
#define ETH_ESP32_EMAC_DEFAULT_CONFIG() {0}
#define ETH_PHY_DEFAULT_CONFIG() {0, 0, 0}
#define ETH_DEFAULT_CONFIG(mac, phy) {mac, phy}
esp_eth_mac_t* esp_eth_mac_new_esp32(const eth_esp32_emac_config_t*, const eth_mac_config_t*);
esp_eth_phy_t* esp_eth_phy_new_lan87xx(const eth_phy_config_t*);
esp_err_t esp_eth_driver_install(const esp_eth_config_t*, esp_eth_handle_t*);
void* esp_eth_new_netif_glue(esp_eth_handle_t);
esp_err_t esp_eth_start(esp_eth_handle_t);

typedef enum { SPI1_HOST, SPI2_HOST, SPI3_HOST } spi_host_device_t;
typedef struct { int mosi_io_num, miso_io_num, sclk_io_num, quadwp_io_num, quadhd_io_num, max_transfer_sz; } spi_bus_config_t;
typedef struct { int clock_speed_hz, mode, spics_io_num, queue_size; } spi_device_interface_config_t;
typedef struct { uint32_t flags; size_t length; const void* tx_buffer; } spi_transaction_t;
typedef struct spi_device_t* spi_device_handle_t;
#define SPI_DMA_CH_AUTO 3
esp_err_t spi_bus_initialize(spi_host_device_t, const spi_bus_config_t*, int dma);
esp_err_t spi_bus_add_device(spi_host_device_t, const spi_device_interface_config_t*, spi_device_handle_t*);
esp_err_t spi_device_queue_trans(spi_device_handle_t, spi_transaction_t*, uint32_t ticks);
esp_err_t spi_device_get_trans_result(spi_device_handle_t, spi_transaction_t**, uint32_t ticks);
#define MALLOC_CAP_DMA (1u << 3)
void* heap_caps_calloc(size_t count, size_t size, uint32_t caps);

typedef struct esp_lcd_panel_io_t* esp_lcd_panel_io_handle_t;
typedef struct esp_lcd_i80_bus_t* esp_lcd_i80_bus_handle_t;
typedef struct { int a; } esp_lcd_panel_io_event_data_t;
typedef bool (*esp_lcd_panel_io_color_trans_done_cb_t)(esp_lcd_panel_io_handle_t, esp_lcd_panel_io_event_data_t*, void*);
typedef enum { LCD_CLK_SRC_DEFAULT } lcd_clock_source_t;
typedef struct { int dc_gpio_num, wr_gpio_num; lcd_clock_source_t clk_src; int data_gpio_nums[16]; size_t bus_width, max_transfer_bytes; } esp_lcd_i80_bus_config_t;
typedef struct { int cs_gpio_num; uint32_t pclk_hz; size_t trans_queue_depth; esp_lcd_panel_io_color_trans_done_cb_t on_color_trans_done; void* user_ctx; int lcd_cmd_bits, lcd_param_bits; } esp_lcd_panel_io_i80_config_t;
esp_err_t esp_lcd_new_i80_bus(const esp_lcd_i80_bus_config_t*, esp_lcd_i80_bus_handle_t*);
esp_err_t esp_lcd_new_panel_io_i80(esp_lcd_i80_bus_handle_t, const esp_lcd_panel_io_i80_config_t*, esp_lcd_panel_io_handle_t*);
esp_err_t esp_lcd_panel_io_tx_color(esp_lcd_panel_io_handle_t, int command, const void*, size_t);

}  // extern "C"

#endif
