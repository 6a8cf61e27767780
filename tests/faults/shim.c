/* Stands between a program and its disk (LD_PRELOAD): counts what is done to files under one folder, and kills the
   program, fills the disk, or writes down every change, from a chosen step on. Armed by faults_arm from inside. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <unistd.h>

enum { OFF, KILL, FULL, RECORD };
static int mode = OFF, record = -1;
static long left = 0;
static char root[4096];

#define NEXT(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

void faults_arm(int how, long steps, const char *folder, const char *into) {
    strncpy(root, folder, sizeof root - 1);
    left = steps;
    if (how == RECORD) record = (int)syscall(SYS_openat, AT_FDCWD, into, O_WRONLY | O_CREAT | O_TRUNC, 0644);
    mode = how;
}

void faults_off(void) { mode = OFF; }

static void put(const char *kind, const char *path, long offset, const void *data, long length) {
    char head[4400];
    int n = snprintf(head, sizeof head, "%s\t%s\t%ld\t%ld\n", kind, path, offset, length);
    syscall(SYS_write, record, head, n);
    if (data) syscall(SYS_write, record, data, length);
}

void faults_mark(const char *text) { if (mode == RECORD) put("mark", text, 0, NULL, 0); }

/* What to do about one step on `path`: 0 lets it pass, -1 means that there is no room. */
static int step(const char *kind, const char *path, long offset, const void *data, long length, int takes_room) {
    size_t n = strlen(root);
    if (mode == OFF || strncmp(path, root, n) || (path[n] && path[n] != '/')) return 0;
    if (mode == KILL && left-- <= 0) kill(getpid(), SIGKILL);
    if (mode == FULL && takes_room && left-- <= 0) { errno = ENOSPC; return -1; }
    if (mode == RECORD) put(kind, path, offset, data, length);
    return 0;
}

static const char *name_of(int fd) {
    static char path[4096];
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    path[n < 0 ? 0 : n] = 0;
    return path;
}

static const char *whole(const char *path) {
    static char full[8400];
    char here[4096];
    if (path[0] == '/') return path;
    snprintf(full, sizeof full, "%s/%s", getcwd(here, sizeof here) ? here : "", path);
    return full;
}

ssize_t pwrite64(int fd, const void *data, size_t n, off64_t at) {
    if (mode && step("write", name_of(fd), at, data, n, 1)) return -1;
    return NEXT(pwrite64)(fd, data, n, at);
}
ssize_t pwrite(int fd, const void *data, size_t n, off_t at) {
    if (mode && step("write", name_of(fd), at, data, n, 1)) return -1;
    return NEXT(pwrite)(fd, data, n, at);
}
ssize_t write(int fd, const void *data, size_t n) {
    if (mode && step("write", name_of(fd), lseek(fd, 0, SEEK_CUR), data, n, 1)) return -1;
    return NEXT(write)(fd, data, n);
}
int ftruncate64(int fd, off64_t size) {
    if (mode && step("cut", name_of(fd), size, NULL, 0, 0)) return -1;
    return NEXT(ftruncate64)(fd, size);
}
int ftruncate(int fd, off_t size) {
    if (mode && step("cut", name_of(fd), size, NULL, 0, 0)) return -1;
    return NEXT(ftruncate)(fd, size);
}
int fsync(int fd) {
    if (mode && step("sync", name_of(fd), 0, NULL, 0, 1)) return -1;
    return NEXT(fsync)(fd);
}
int fdatasync(int fd) {
    if (mode && step("sync", name_of(fd), 0, NULL, 0, 1)) return -1;
    return NEXT(fdatasync)(fd);
}
int unlink(const char *path) {
    if (mode && step("gone", whole(path), 0, NULL, 0, 0)) return -1;
    return NEXT(unlink)(path);
}
int rename(const char *from, const char *to) {
    if (mode && step("name", whole(to), 0, from, strlen(from), 0)) return -1;
    return NEXT(rename)(from, to);
}
int link(const char *from, const char *to) {
    if (mode && step("link", whole(to), 0, from, strlen(from), 1)) return -1;
    return NEXT(link)(from, to);
}
