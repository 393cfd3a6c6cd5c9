using System.Diagnostics;

namespace Rinsewright.App.Tests.Handouts;

/// <summary>A calendar as a parser that did not write it reads it: the Python package icalendar.</summary>
internal static class OtherCalendarReader
{
    private const string Python = "/usr/bin/python3";

    private const string Script = """
        import sys
        from icalendar import Calendar
        calendar = Calendar.from_ical(open(sys.argv[1], 'rb').read())
        for event in calendar.walk('VEVENT'):
            if event.errors:
                sys.exit(str(event.errors))
            day = event.decoded('DTSTART')
            rule = event.decoded('RRULE') if 'RRULE' in event else None
            alarms = event.walk('VALARM')
            if not alarms or alarms[0].decoded('TRIGGER').days >= 0 or (rule is not None and 'FREQ' not in rule):
                sys.exit('an entry without a reminder before it, or with a broken rule')
            print(event['UID'], day.strftime('%Y%m%d'), event['SEQUENCE'], event['SUMMARY'])
        """;

    /// <summary>UID, day, sequence number and summary of each entry.</summary>
    public static string[] Read(string path)
    {
        Assert.SkipUnless(
            File.Exists(Python) && Run("-c", "import icalendar").Code == 0,
            "icalendar is missing: install python3-icalendar"
        );
        (int code, string output, string error) = Run("-c", Script, path);
        Assert.True(code == 0, error);
        return output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
    }

    private static (int Code, string Output, string Error) Run(params string[] args)
    {
        using Process process = Process.Start(
            new ProcessStartInfo(Python, args)
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                UseShellExecute = false,
            }
        )!;
        string output = process.StandardOutput.ReadToEnd();
        string error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output, error);
    }
}
