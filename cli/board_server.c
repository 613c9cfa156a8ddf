// SPDX-License-Identifier: GPL-3.0-or-later
#include <arpa/inet.h>
#include <errno.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>

#include "base/memory.h"
#include "board.h"
#include "io/moved.h"

enum { CONNECTIONS_MAX = 64, IDLE_S = 5, RATE_PER_S = 40, BURST = 80 };

struct cli_board_server {
  struct MHD_Daemon *daemon;
  const pc_board *board;
  const char *output;
  pc_text page, policy;
  char token[CLI_TOKEN_LENGTH + 1];
  char hosts[2][32]; /* what a request may call this server */
  double allowance;  /* requests that may still come at once */
  double last_s;
};

typedef struct request { /* one that is being received */
  pc_text body;
  size_t length;
} request;

/* ---- who may ask ---- */

static bool same_token(const char *given, const char *token) {
  unsigned char differs = 0;
  if (!given || strlen(given) != CLI_TOKEN_LENGTH)
    return false;
  for (size_t i = 0; i < CLI_TOKEN_LENGTH; i++)
    differs |= (unsigned char)(given[i] ^ token[i]);
  return differs == 0;
}

static bool make_token(char *token) {
  static const char digits[] = "0123456789abcdef";
  unsigned char random[CLI_TOKEN_LENGTH / 2];
  FILE *source = fopen("/dev/urandom", "r");
  bool good = source && fread(random, 1, sizeof random, source) == sizeof random;
  if (source)
    fclose(source);
  for (size_t i = 0; i < sizeof random && good; i++) {
    token[2 * i] = digits[random[i] >> 4];
    token[2 * i + 1] = digits[random[i] & 15];
  }
  token[CLI_TOKEN_LENGTH] = '\0';
  return good;
}

static const char *header(struct MHD_Connection *connection, const char *name) {
  return MHD_lookup_connection_value(connection, MHD_HEADER_KIND, name);
}

static bool is_own_host(const cli_board_server *server, const char *host) {
  return host && (strcmp(host, server->hosts[0]) == 0 || strcmp(host, server->hosts[1]) == 0);
}

static bool is_own_origin(const cli_board_server *server, const char *origin) {
  static const char scheme[] = "http://";
  return origin && strncmp(origin, scheme, sizeof scheme - 1) == 0 &&
         is_own_host(server, origin + sizeof scheme - 1);
}

/* A bucket that fills by so many requests a second. */
static bool may_come_now(cli_board_server *server) {
  struct timespec now;
  if (clock_gettime(CLOCK_MONOTONIC, &now) != 0)
    return true;
  double now_s = (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
  server->allowance += (now_s - server->last_s) * RATE_PER_S;
  server->last_s = now_s;
  if (server->allowance > BURST)
    server->allowance = BURST;
  if (server->allowance < 1.0)
    return false;
  server->allowance -= 1.0;
  return true;
}

/* ---- responses ---- */

static enum MHD_Result respond(struct MHD_Connection *connection, unsigned status, const char *type,
                               const char *policy, const char *text, size_t length) {
  void *copy = pc_copy(text, length, 1);
  struct MHD_Response *response =
      copy ? MHD_create_response_from_buffer(length, copy, MHD_RESPMEM_MUST_FREE) : NULL;
  if (!response) {
    free(copy);
    return MHD_NO;
  }
  const char *const headers[][2] = {{"Content-Type", type},
                                    {"Content-Security-Policy", policy},
                                    {"X-Content-Type-Options", "nosniff"},
                                    {"Referrer-Policy", "no-referrer"},
                                    {"Cache-Control", "no-store"},
                                    {"Cross-Origin-Opener-Policy", "same-origin"},
                                    {"Cross-Origin-Resource-Policy", "same-origin"},
                                    {"Connection", "close"}}; /* none is kept from others */
  enum MHD_Result good = MHD_YES;
  for (size_t i = 0; i < sizeof headers / sizeof headers[0] && good == MHD_YES; i++)
    good = MHD_add_response_header(response, headers[i][0], headers[i][1]);
  if (good == MHD_YES)
    good = MHD_queue_response(connection, status, response);
  MHD_destroy_response(response);
  return good;
}

static const char closed[] = "default-src 'none'; frame-ancestors 'none'";

/* `why` is text of our own that needs no escaping. */
static enum MHD_Result refuse(struct MHD_Connection *connection, unsigned status, const char *why) {
  char text[160];
  int length = snprintf(text, sizeof text, "{\"error\": \"%s\"}", why);
  return respond(connection, status, "application/json", closed, text, (size_t)length);
}

/* ---- what is asked for ---- */

static enum MHD_Result answer_get(const cli_board_server *server, struct MHD_Connection *connection,
                                  const char *url) {
  if (strcmp(url, "/favicon.ico") == 0)
    return respond(connection, MHD_HTTP_NO_CONTENT, "image/x-icon", closed, "", 0);
  if (strcmp(url, "/") != 0)
    return refuse(connection, MHD_HTTP_NOT_FOUND, "there is nothing of this name");
  if (!same_token(MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, "token"), server->token))
    return refuse(connection, MHD_HTTP_FORBIDDEN,
                  "the token is missing or wrong: use the address that was printed");
  return respond(connection, MHD_HTTP_OK, "text/html; charset=utf-8", server->policy.data, server->page.data,
                 server->page.length);
}

static enum MHD_Result save(const cli_board_server *server, struct MHD_Connection *connection,
                            pc_text *text) {
  pc_faults faults = {0};
  cli_exit done = cli_exit_of(pc_scenario_move(server->board->name, server->output, text, &faults));
  cli_show_faults(&faults, 0, false);
  pc_faults_free(&faults);
  if (done != CLI_DONE)
    return refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR,
                  "the names of other files could not be written for the folder of the new one");
  done = cli_write_new(server->output, text->data);
  if (done == CLI_DONE)
    cli_say("%s was written", server->output);
  return done == CLI_DONE ? respond(connection, MHD_HTTP_OK, "application/json", closed, "{}", 2)
         : done == CLI_USAGE
             ? refuse(connection, MHD_HTTP_CONFLICT, "the file exists already, and is left alone")
             : refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "the file could not be written");
}

static enum MHD_Result answer_post(const cli_board_server *server, struct MHD_Connection *connection,
                                   const char *url, const request *received) {
  const char *body = received->body.data ? received->body.data : "";
  bool simulate = strcmp(url, "/answer") == 0;
  pc_text out = {0};
  pc_status status = simulate ? pc_board_answer(server->board, body, received->length, &out)
                              : pc_board_scenario(server->board, body, received->length, &out);
  enum MHD_Result done;
  if (status == PC_ERR_MEMORY || !out.data)
    done = refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "out of memory");
  else if (status != PC_OK)
    done = respond(connection, MHD_HTTP_BAD_REQUEST, "application/json", closed, out.data, out.length);
  else if (strcmp(url, "/save") == 0)
    done = save(server, connection, &out);
  else
    done = respond(connection, MHD_HTTP_OK, simulate ? "application/json" : "text/plain; charset=utf-8",
                   closed, out.data, out.length);
  pc_text_free(&out);
  return done;
}

/* ---- receiving ---- */

static bool is_known_post(const cli_board_server *server, const char *url) {
  return strcmp(url, "/answer") == 0 || strcmp(url, "/scenario") == 0 ||
         (strcmp(url, "/save") == 0 && server->output);
}

/* The status to refuse a request with, before any of its body is read; 0: it may go on. */
static unsigned judge(cli_board_server *server, struct MHD_Connection *connection, const char *url,
                      const char *method, const char **why) {
  bool get = strcmp(method, MHD_HTTP_METHOD_GET) == 0, post = strcmp(method, MHD_HTTP_METHOD_POST) == 0;
  const char *origin = header(connection, "Origin"), *type = header(connection, "Content-Type");
  const char *length = header(connection, "Content-Length");
  *why = "too many requests; wait a second";
  if (!may_come_now(server))
    return MHD_HTTP_TOO_MANY_REQUESTS;
  *why = "this server has another name";
  if (!is_own_host(server, header(connection, "Host")))
    return MHD_HTTP_FORBIDDEN;
  *why = "pages from elsewhere may not ask";
  if ((origin || post) && !is_own_origin(server, origin))
    return MHD_HTTP_FORBIDDEN;
  *why = "only GET and POST are known";
  if (!get && !post)
    return MHD_HTTP_METHOD_NOT_ALLOWED;
  if (get)
    return 0;
  *why = "the token is missing or wrong: use the address that was printed";
  if (!same_token(header(connection, "X-Pushcycle-Token"), server->token))
    return MHD_HTTP_FORBIDDEN;
  *why = "there is nothing of this name";
  if (!is_known_post(server, url))
    return MHD_HTTP_NOT_FOUND;
  *why = "the body has to be application/json";
  if (!type || strcmp(type, "application/json") != 0)
    return MHD_HTTP_UNSUPPORTED_MEDIA_TYPE;
  *why = "the body is too large";
  if (length && strtoull(length, NULL, 10) > PC_BOARD_REQUEST_MAX)
    return MHD_HTTP_CONTENT_TOO_LARGE;
  return 0;
}

static enum MHD_Result on_request(void *context, struct MHD_Connection *connection, const char *url,
                                  const char *method, const char *version, const char *data, size_t *size,
                                  void **state) {
  (void)version;
  cli_board_server *server = context;
  request *received = *state;
  if (!received) {
    const char *why = NULL;
    unsigned refused = judge(server, connection, url, method, &why);
    if (refused != 0)
      return refuse(connection, refused, why);
    *state = received = pc_alloc(1, sizeof *received);
    return received ? MHD_YES : MHD_NO;
  }
  if (*size > 0) {
    if (received->length + *size > PC_BOARD_REQUEST_MAX)
      return MHD_NO; /* more than it said: the connection ends */
    pc_text_addf(&received->body, "%.*s", (int)*size, data);
    received->length = received->body.length; /* what follows a zero byte is no JSON */
    *size = 0;
    return received->body.failed ? MHD_NO : MHD_YES;
  }
  return strcmp(method, MHD_HTTP_METHOD_GET) == 0 ? answer_get(server, connection, url)
                                                  : answer_post(server, connection, url, received);
}

static void on_completed(void *context, struct MHD_Connection *connection, void **state,
                         enum MHD_RequestTerminationCode code) {
  (void)context;
  (void)connection;
  (void)code;
  request *received = *state;
  if (received)
    pc_text_free(&received->body);
  free(received);
  *state = NULL;
}

/* ---- starting and stopping ---- */

static cli_exit start_daemon(cli_board_server *server, int port) {
  struct sockaddr_in address = {
      .sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr = {htonl(INADDR_LOOPBACK)}};
  server->daemon =
      MHD_start_daemon(MHD_USE_POLL_INTERNAL_THREAD, 0, NULL, NULL, on_request, server, MHD_OPTION_SOCK_ADDR,
                       (struct sockaddr *)&address, MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS_MAX,
                       MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)IDLE_S, MHD_OPTION_NOTIFY_COMPLETED,
                       on_completed, NULL, MHD_OPTION_END);
  if (server->daemon)
    return CLI_DONE;
  cli_say("--port: nothing can listen on port %d: %s", port, errno ? strerror(errno) : "it is taken");
  return CLI_FILE;
}

cli_exit cli_board_start(const pc_board *board, const char *output, int port, cli_board_server **out,
                         pc_text *url) {
  *out = NULL;
  cli_board_server *server = pc_alloc(1, sizeof *server);
  if (!server)
    return cli_no_memory();
  server->board = board;
  server->output = output;
  server->allowance = BURST;
  pc_board_policy(&server->policy);
  pc_text_add(&server->policy, "; frame-ancestors 'none'");
  cli_exit done = CLI_DONE;
  if (pc_board_page(board, output, &server->page) != PC_OK || server->policy.failed)
    done = cli_no_memory();
  if (done == CLI_DONE && !make_token(server->token)) {
    cli_say("/dev/urandom: no random numbers for the token");
    done = CLI_FILE;
  }
  if (done == CLI_DONE)
    done = start_daemon(server, port);
  if (done == CLI_DONE) {
    unsigned bound = MHD_get_daemon_info(server->daemon, MHD_DAEMON_INFO_BIND_PORT)->port;
    snprintf(server->hosts[0], sizeof server->hosts[0], "127.0.0.1:%u", bound);
    snprintf(server->hosts[1], sizeof server->hosts[1], "localhost:%u", bound);
    pc_text_addf(url, "http://%s/?token=%s", server->hosts[0], server->token);
    *out = server;
  } else {
    cli_board_stop(server);
  }
  return done;
}

void cli_board_stop(cli_board_server *server) {
  if (!server)
    return;
  if (server->daemon)
    MHD_stop_daemon(server->daemon);
  pc_text_free(&server->page);
  pc_text_free(&server->policy);
  free(server);
}
