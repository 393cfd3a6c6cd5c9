using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class HabitTests
{
    public static TheoryData<string> Examples => ["two-vans", "weekend"];

    [Theory]
    [MemberData(nameof(Examples))]
    public void Every_example_is_read_without_a_problem_and_has_only_properties_of_the_schema(string name)
    {
        using JsonDocument example = Json(
            File.ReadAllText(Repository.PathOf($"examples/habits/{name}.json"))
        );
        Assert.True(
            Habit.TryRead(example.RootElement, out Habit? habit, out IReadOnlyList<InputProblem> problems)
        );
        Assert.Empty(problems);
        Assert.NotEmpty(habit.Tasks);
        using JsonDocument schema = Json(
            File.ReadAllText(Repository.PathOf("docs/formats/habit.schema.json"))
        );
        JsonElement root = schema.RootElement.GetProperty("properties");
        JsonElement task = root.GetProperty("tasks").GetProperty("items").GetProperty("properties");
        Assert.All(
            example.RootElement.EnumerateObject(),
            p => Assert.True(root.TryGetProperty(p.Name, out _))
        );
        Assert.All(
            example.RootElement.GetProperty("tasks").EnumerateArray().SelectMany(t => t.EnumerateObject()),
            p => Assert.True(task.TryGetProperty(p.Name, out _))
        );
    }

    [Fact]
    public void A_week_adds_up_over_its_tasks()
    {
        Habit habit = TwoVans();
        Assert.Equal(20 * 25.0, 1000 * habit.Weekly_m3(Outlet.Raw), 9);
        Assert.Equal(20 * 44.0, 1000 * habit.Weekly_m3(Outlet.Carbon), 9);
        Assert.Equal((20 * 25.0) + (10 * 3.0), 1000 * habit.Weekly_m3(Outlet.Deionised), 9);
        double mean = ((500.0 * 6.0) + (30.0 * 4.0)) / 530.0;
        Assert.Equal(mean, habit.UsualFlow(Outlet.Deionised)!.Value.LitersPerMinute, 9);
    }

    [Fact]
    public void Everything_and_last_rinse_only_move_water_between_outlets_and_lose_none()
    {
        Habit habit = TwoVans();
        Assert.Equal(habit.TotalWeekly_m3, habit.Everything.Weekly_m3(Outlet.Deionised), 12);
        Habit last = habit.Everything.LastRinseOnly;
        Assert.Equal(habit.TotalWeekly_m3, last.TotalWeekly_m3, 12);
        Assert.Equal(habit.Weekly_m3(Outlet.Deionised), last.Weekly_m3(Outlet.Deionised), 12);
    }

    [Fact]
    public void All_problems_of_a_file_are_reported_together_with_their_places()
    {
        using JsonDocument bad = Json(
            """
            {"washesPerWeek": -1, "colour": 3,
             "tasks": [{"name": "rinse", "volume": "25 apples", "flow": "0 L/min", "outlet": "tap"}, 7]}
            """
        );
        Assert.False(
            Habit.TryRead(bad.RootElement, out Habit? habit, out IReadOnlyList<InputProblem> problems)
        );
        Assert.Null(habit);
        string[] places = [.. problems.Select(p => p.Place)];
        Assert.All(
            ["colour", "washesPerWeek", "tasks[0].volume", "tasks[0].flow", "tasks[0].outlet", "tasks[1]"],
            place => Assert.Contains(places, p => string.Equals(p, place, StringComparison.Ordinal))
        );
    }

    [Fact]
    public void A_list_or_a_number_instead_of_an_object_is_a_problem_not_a_crash()
    {
        foreach (string text in (string[])["[]", "3", "null", "{}", """{"washesPerWeek":1,"tasks":{}}"""])
        {
            using JsonDocument document = Json(text);
            Assert.False(
                Habit.TryRead(document.RootElement, out _, out IReadOnlyList<InputProblem> problems)
            );
            Assert.NotEmpty(problems);
        }
    }

    private static Habit TwoVans()
    {
        using JsonDocument example = Json(
            File.ReadAllText(Repository.PathOf("examples/habits/two-vans.json"))
        );
        Assert.True(Habit.TryRead(example.RootElement, out Habit? habit, out _));
        return habit;
    }

    private static JsonDocument Json(string text) => JsonDocument.Parse(text);
}
