"""The figures of the bench, by name, in the order in which they are measured."""

from bench import (
    alarm_latency_p99,
    condition_us,
    forward_rows,
    live_page,
    notice_delay_p99,
    record_ratio,
    replay_speed,
    rss,
    run_page,
    runs_ms,
    sd_bytes_per_hour,
    series_ms,
    start_to_first_reading,
    step_p99,
    tanks_50,
    w1_cycle,
    watch_cpu,
    year_false_alarms,
)

FIGURES = {
    figure.name: figure
    for figure in (
        replay_speed.FIGURE,
        step_p99.FIGURE,
        watch_cpu.FIGURE,
        condition_us.FIGURE,
        w1_cycle.FIGURE,
        tanks_50.CPU,
        tanks_50.STEP,
        alarm_latency_p99.FIGURE,
        alarm_latency_p99.FLOOD,
        notice_delay_p99.FIGURE,
        record_ratio.FIGURE,
        forward_rows.FIGURE,
        sd_bytes_per_hour.FIGURE,
        rss.WATCH,
        rss.RECORD,
        rss.SERVE,
        start_to_first_reading.FIGURE,
        year_false_alarms.FIGURE,
        series_ms.FIGURE,
        live_page.KILOBYTES,
        live_page.DELAY,
        live_page.CLIENTS,
        runs_ms.FIGURE,
        run_page.KILOBYTES,
        run_page.READY_AFTER,
    )
}
