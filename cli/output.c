// SPDX-License-Identifier: GPL-3.0-or-later
/* Messages, and files that appear whole or not at all. */
/* realpath belongs to POSIX.1-2008, but the C library here shows it only with X/Open. */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"

void cli_say(const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  fputs("pushcycle: ", stderr);
  vfprintf(stderr, format, arguments);
  fputc('\n', stderr);
  va_end(arguments);
}

/* What was chosen on the command line is told of by its option: "--box", not "box". */
static bool is_choice(const pc_error *error) {
  static const char *const keys[] = {"layout", "box", "loader", "policy"};
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    if (strcmp(error->key, keys[i]) == 0)
      return error->file[0] == '\0'; /* a file has no such keys at its top */
  return false;
}

void cli_show_faults(const pc_faults *faults, size_t first, bool cautions) {
  char text[PC_ERROR_TEXT_MAX];
  for (size_t i = first; i < faults->count; i++) {
    const pc_error *error = &faults->items[i];
    if (error->caution && !cautions)
      continue;
    pc_error_format(error, text, sizeof text);
    fprintf(stderr, "%s%s%s\n", error->caution ? "caution: " : "", is_choice(error) ? "--" : "", text);
  }
  if (faults->dropped > 0)
    cli_say("%zu more could not be kept: out of memory", faults->dropped);
}

/* The same words, whatever the numbers between them; those in quotes belong to names. */
static bool reads_alike(const char *a, const char *b) {
  static const char figures[] = "0123456789.,";
  bool quoted = false;
  for (;; a++, b++) {
    if (!quoted) {
      a += strspn(a, figures);
      b += strspn(b, figures);
    }
    if (*a != *b || *a == '\0')
      return *a == *b;
    quoted ^= *a == '"';
  }
}

static bool is_known(const pc_faults *faults, const pc_error *error) {
  for (size_t i = 0; i < faults->count; i++) {
    const pc_error *other = &faults->items[i];
    if (other->caution == error->caution && strcmp(other->key, error->key) == 0 &&
        (error->caution ? reads_alike(other->message, error->message)
                        : strcmp(other->message, error->message) == 0))
      return true;
  }
  return false;
}

void cli_merge_faults(pc_faults *faults, const pc_faults *found) {
  for (size_t i = 0; i < found->count; i++)
    if (!is_known(faults, &found->items[i]))
      pc_faults_push(faults, &found->items[i]);
  faults->dropped += found->dropped;
}

cli_exit cli_exit_of(pc_status status) {
  if (status == PC_OK)
    return CLI_DONE;
  return status == PC_ERR_FILE || status == PC_ERR_MEMORY ? CLI_FILE : CLI_USAGE;
}

cli_exit cli_no_memory(void) {
  cli_say("out of memory");
  return CLI_FILE;
}

static cli_exit say_system(const char *path, int error) {
  cli_say("%s: %s", path, error ? strerror(error) : "could not be written");
  return CLI_FILE;
}

/* A name beside the target, for mkstemp. */
static char *temporary_name(const char *target) {
  size_t size = strlen(target) + sizeof ".XXXXXX";
  char *name = malloc(size);
  if (name)
    snprintf(name, size, "%s.XXXXXX", target);
  return name;
}

static void release(cli_file *file) {
  free(file->target);
  free(file->temporary);
  *file = (cli_file){0};
}

static cli_exit open_beside(cli_file *file, mode_t mode) {
  file->temporary = temporary_name(file->target);
  if (!file->temporary) {
    release(file);
    return cli_no_memory();
  }
  int descriptor = mkstemp(file->temporary);
  if (descriptor >= 0 && fchmod(descriptor, mode) == 0)
    file->file = fdopen(descriptor, "w");
  if (file->file)
    return CLI_DONE;
  cli_exit status = say_system(file->path, errno);
  if (descriptor >= 0) {
    close(descriptor);
    unlink(file->temporary);
  }
  release(file);
  return status;
}

cli_exit cli_file_open(cli_file *file, const char *path) {
  struct stat found;
  bool exists = stat(path, &found) == 0;
  *file = (cli_file){.path = path};
  if (exists && !S_ISREG(found.st_mode)) {
    file->file = fopen(path, "w");
    return file->file ? CLI_DONE : say_system(path, errno);
  }
  if (exists && access(path, W_OK) != 0)
    return say_system(path, errno);
  /* A link stays a link: what it points to is replaced. */
  file->target = exists ? realpath(path, NULL) : strdup(path);
  if (!file->target)
    return say_system(path, errno);
  mode_t mask = umask(0);
  umask(mask);
  return open_beside(file, exists ? found.st_mode & 0777 : 0666 & ~mask);
}

/* Whether a file could be put into the folder of this path. */
static bool folder_takes(const char *path) {
  const char *end = strrchr(path, '/');
  if (!end)
    return access(".", W_OK | X_OK) == 0;
  char *folder = strndup(path, end == path ? 1 : (size_t)(end - path));
  bool takes = folder && access(folder, W_OK | X_OK) == 0;
  free(folder);
  return takes;
}

static bool can_be_written(const char *path) {
  struct stat found;
  if (stat(path, &found) != 0)
    return errno == ENOENT && folder_takes(path);
  if (S_ISDIR(found.st_mode)) {
    errno = EISDIR;
    return false;
  }
  if (!S_ISREG(found.st_mode)) /* to open a pipe would wait for its reader */
    return true;
  char *target = realpath(path, NULL);
  bool can = target && access(target, W_OK) == 0 && folder_takes(target);
  free(target);
  return can;
}

cli_exit cli_check_targets(const cli_options *options, bool only_new) {
  const char *const paths[] = {options->output, options->trace, options->geojson, options->save};
  struct stat found;
  for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
    bool spared = i == 0 && only_new && paths[i] && lstat(paths[i], &found) == 0; /* that is told there */
    errno = 0;
    if (paths[i] && !spared && !can_be_written(paths[i]))
      return say_system(paths[i], errno);
  }
  return CLI_DONE;
}

static cli_exit say_exists(const char *path) {
  cli_say("%s exists already, and is left alone; choose another name", path);
  return CLI_USAGE;
}

/* A second name for the file fails where there is one already: nobody's file can come between. File systems
 * that know no second names get an empty file first, which fails likewise. */
static int take_name(const cli_file *file) {
  if (!file->only_new)
    return rename(file->temporary, file->target);
  if (link(file->temporary, file->target) == 0 || errno == EEXIST)
    return errno == EEXIST ? -1 : 0;
  int descriptor = open(file->target, O_WRONLY | O_CREAT | O_EXCL, 0666);
  if (descriptor < 0)
    return -1;
  close(descriptor);
  return rename(file->temporary, file->target);
}

cli_exit cli_file_commit(cli_file *file) {
  errno = 0;
  int error = 0;
  bool failed = ferror(file->file) || fflush(file->file) != 0;
  error = errno;
  errno = 0;
  if (fclose(file->file) != 0 && !failed) {
    failed = true;
    error = errno;
  }
  errno = 0;
  if (!failed && file->temporary && take_name(file) != 0) {
    failed = true;
    error = errno;
  }
  cli_exit status = CLI_DONE;
  if (failed && file->only_new && error == EEXIST)
    status = say_exists(file->path);
  else if (failed)
    status = say_system(file->path, error);
  if (file->temporary && (failed || file->only_new))
    unlink(file->temporary);
  release(file);
  return status;
}

void cli_file_abandon(cli_file *file) {
  if (file->file)
    fclose(file->file);
  if (file->temporary)
    unlink(file->temporary);
  release(file);
}

static cli_exit write_stdout(const pc_text *text) {
  errno = 0;
  if (fwrite(text->data, 1, text->length, stdout) != text->length || fflush(stdout) != 0)
    return say_system("standard output", errno);
  return CLI_DONE;
}

static cli_exit fill_file(cli_file *file, const char *text, size_t length) {
  errno = 0;
  if (fwrite(text, 1, length, file->file) != length) {
    cli_exit status = say_system(file->path, errno);
    cli_file_abandon(file);
    return status;
  }
  return cli_file_commit(file);
}

cli_exit cli_write_file(const char *path, const pc_text *text) {
  cli_file file;
  cli_exit status = cli_file_open(&file, path);
  return status == CLI_DONE ? fill_file(&file, text->data, text->length) : status;
}

cli_exit cli_write_new(const char *path, const char *text) {
  struct stat found;
  if (lstat(path, &found) == 0)
    return say_exists(path);
  cli_file file;
  cli_exit status = cli_file_open(&file, path);
  if (status != CLI_DONE)
    return status;
  file.only_new = true;
  return fill_file(&file, text, strlen(text));
}

cli_exit cli_write(const cli_options *options, pc_text *text) {
  cli_exit status;
  if (text->failed || !text->data)
    status = cli_no_memory();
  else
    status = options->output ? cli_write_file(options->output, text) : write_stdout(text);
  pc_text_free(text);
  return status;
}

cli_exit cli_check_new(const cli_options *options) {
  if (!options->output || access(options->output, F_OK) != 0)
    return CLI_DONE;
  cli_say("%s exists already, and is left alone; choose another name", options->output);
  return CLI_USAGE;
}
