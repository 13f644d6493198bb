#!/bin/sh
# Becomes PID 1 of a computer of its own: systemd on a copy of this one's disk, with no network but loopback.
# Called in fresh namespaces by support/booted.py: booted.sh FOLDER TARGET, where FOLDER has upper/, work/, root/ and
# sys/. TARGET `-` only tries whether it can be done. $PYTHON, $PACKAGES and $CHECKOUT are shown below /srv.
set -eu
folder=$1 target=$2 root=$1/root
mount --make-rprivate /
mount -t overlay -o "lowerdir=/,upperdir=$folder/upper,workdir=$folder/work" board "$root"
cd "$root"
mkdir -p srv/python srv/packages srv/checkout old
mount --bind -o ro "$PYTHON" srv/python
mount --bind -o ro "$PACKAGES" srv/packages
mount --bind -o ro "$CHECKOUT" srv/checkout
if [ ! -e etc/a-board ]; then  # its first start: nothing of this computer's own is enabled, or left of drydown
  rm -rf etc/systemd/system/*.wants etc/systemd/system/drydown-* etc/mosquitto/conf.d/drydown.conf etc/mosquitto/drydown.*
  rm -rf etc/drydown opt/drydown var/lib/drydown var/lib/mosquitto/mosquitto.db
  echo /srv/python/lib >etc/ld.so.conf.d/00-python.conf  # its library, where the place it was built for is hidden
  chroot . ldconfig
  touch etc/a-board
fi
mount -t proc proc proc
for part in proc/sys proc/sysrq-trigger; do  # this kernel's, not the board's
  [ ! -e "$part" ] || mount --bind -o ro "$part" "$part"
done
mount --bind "$folder/sys" sys
mkdir -p sys/fs/cgroup
mount -t cgroup2 cgroup2 sys/fs/cgroup
mount -t tmpfs -o mode=755 run run
mount -t tmpfs -o mode=1777 tmp tmp
mount -t tmpfs -o mode=755 dev dev
mkdir dev/pts dev/shm
mount -t devpts -o newinstance,ptmxmode=0666,mode=620 devpts dev/pts
mount -t tmpfs -o mode=1777 shm dev/shm
for device in null:3 zero:5 full:7 random:8 urandom:9; do mknod -m 666 "dev/${device%:*}" c 1 "${device#*:}"; done
mknod -m 666 dev/tty c 5 0
mknod -m 666 dev/tun c 10 200
ln -s pts/ptmx dev/ptmx
ln -s /proc/self/fd dev/fd
pivot_root . old
umount -l /old
[ "$target" != - ] || exit 0
# Clock, modules and raw devices stay this computer's alone.
exec env -i container=drydown PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin setpriv --bounding-set \
  -sys_time,-sys_module,-sys_rawio,-syslog,-mac_admin,-mac_override,-wake_alarm,-block_suspend \
  /lib/systemd/systemd --log-target=console --show-status=no --unit="$target"
