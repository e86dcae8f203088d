using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Entries;

[Collection(WholeSurface.Name)]
public class EntryListTests
{
    private const string Header = "familyName,givenName,club,country,ranking,hand,birthYear\n";

    private readonly Hall hall;

    public EntryListTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task A_list_is_taken_as_it_stands()
    {
        var id = await CompetitionAsync();
        var report = await ImportAsync(id, Header + "Aubert,Maïa,Harbour Blades,FRA,12,left,2004\nBerg,Nils,,SWE,,,\n");
        Assert.Equal(2, report["added"]!.GetValue<int>());
        Assert.Equal(0, report["rejected"]!.GetValue<int>());
        Assert.Empty(report["rows"]!.AsArray());
        var entrants = await hall.Desk.ListAsync($"/api/competitions/{id}/entrants");
        Assert.Equal(["Maïa", "Nils"], entrants.Select(e => e["givenName"]!.GetValue<string>()));
        Assert.Equal("left", entrants[0]["hand"]!.GetValue<string>());
        Assert.Equal(2004, entrants[0]["birthYear"]!.GetValue<int>());
        Assert.Null(entrants[1]["club"]);
        Assert.Null(entrants[1]["ranking"]);
    }

    [Fact]
    public async Task A_dry_run_reports_and_enters_nobody()
    {
        var id = await CompetitionAsync();
        var report = await ImportAsync(id, Header + "Aubert,Maïa,,,12,,\nBerg,Nils,,,first,,\n", "?dryRun=true");
        Assert.Equal(1, report["added"]!.GetValue<int>());
        Assert.Equal(1, report["rejected"]!.GetValue<int>());
        Assert.Equal([(3, "ranking")], Rows(report));
        Assert.Empty(await hall.Desk.ListAsync($"/api/competitions/{id}/entrants"));
    }

    [Fact]
    public async Task One_wrong_row_keeps_everybody_out_unless_part_of_the_list_is_wanted()
    {
        var id = await CompetitionAsync();
        const string List = Header + "Aubert,Maïa,,,0,,\nBerg,Nils,,,2,,\n,Nobody,,,3,up,1700\nCosta,Rui,,,4,L,\n";
        var problem = await RefusedAsync(id, List, "rows-rejected");
        Assert.Equal(0, problem["added"]!.GetValue<int>());
        Assert.Equal(2, problem["rejected"]!.GetValue<int>());
        Assert.Equal([(2, "ranking"), (4, "hand")], Rows(problem));
        Assert.Empty(await hall.Desk.ListAsync($"/api/competitions/{id}/entrants"));

        var report = await ImportAsync(id, List, "?partial=true");
        Assert.Equal(2, report["added"]!.GetValue<int>());
        Assert.Equal(["Berg", "Costa"], await FamilyNamesAsync(id));
    }

    [Fact]
    public async Task A_repeat_of_the_list_with_its_key_enters_nobody_twice()
    {
        var id = await CompetitionAsync();
        var first = await ImportAsync(id, Header + "Aubert,Maïa,,,,,\n", "", ("Idempotency-Key", "list " + id));
        var again = await ImportAsync(id, Header + "Aubert,Maïa,,,,,\n", "", ("Idempotency-Key", "list " + id));
        Assert.True(JsonNode.DeepEquals(first, again));
        Assert.Single(await FamilyNamesAsync(id));
    }

    [Fact]
    public async Task Columns_may_stand_in_any_order_and_unknown_ones_are_told_and_not_read()
    {
        var id = await CompetitionAsync();
        var report = await ImportAsync(id, "licence,GivenName, familyname ,club\n77,Maïa,Aubert,Harbour Blades\n");
        Assert.Equal(["licence"], report["ignored"]!.AsArray().Select(c => c!.GetValue<string>()));
        Assert.Equal(["Aubert"], await FamilyNamesAsync(id));
    }

    [Theory]
    [InlineData("givenName,club\nMaïa,Harbour\n", "familyName")]
    [InlineData("familyName,club\nAubert,Harbour\n", "givenName")]
    [InlineData("Aubert,Maïa\n", "familyName and givenName")]
    [InlineData("familyName,givenName,club,Club\nAubert,Maïa,A,B\n", "twice")]
    [InlineData("", "empty")]
    [InlineData("\n\n\n", "empty")]
    public async Task A_file_without_its_columns_is_refused_with_what_is_missing(string list, string said)
    {
        var id = await CompetitionAsync();
        Assert.Contains(said, (await RefusedAsync(id, list, "unreadable-file"))["detail"]!.GetValue<string>(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_header_alone_enters_nobody_and_is_no_mistake()
    {
        var id = await CompetitionAsync();
        var report = await ImportAsync(id, Header);
        Assert.Equal(0, report["added"]!.GetValue<int>());
        Assert.Equal(0, report["rejected"]!.GetValue<int>());
    }

    [Theory]
    [InlineData("utf-8", false)]
    [InlineData("utf-8", true)]
    [InlineData("utf-16", true)]
    [InlineData("utf-16BE", true)]
    public async Task Names_come_through_whole_in_every_Unicode_encoding(string name, bool mark)
    {
        var id = await CompetitionAsync();
        var encoding = Encoding.GetEncoding(name);
        byte[] bytes = [.. mark ? encoding.Preamble.ToArray() : [], .. encoding.GetBytes(Header + "Łukaszewicz-Ñandú,Žofie 金,,,,,\n")];
        await ImportAsync(id, bytes);
        Assert.Equal(["Łukaszewicz-Ñandú"], await FamilyNamesAsync(id));
    }

    [Fact]
    public async Task A_list_in_Latin_1_is_refused_rather_than_taken_with_broken_names()
    {
        var id = await CompetitionAsync();
        var problem = await RefusedAsync(id, Encoding.Latin1.GetBytes(Header + "Müller,Maïa,,,,,\n"), "unreadable-file");
        Assert.Contains("UTF-8", problem["detail"]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Empty(await FamilyNamesAsync(id));
    }

    [Theory]
    [InlineData(";", "\n")]
    [InlineData("\t", "\n")]
    [InlineData(",", "\r\n")]
    [InlineData(";", "\r\n")]
    public async Task Semicolons_and_tabs_separate_as_commas_do(string separator, string newLine)
    {
        var id = await CompetitionAsync();
        var list = (Header + "Aubert,Maïa,Harbour Blades,FRA,12,left,2004\n").Replace(",", separator, StringComparison.Ordinal).Replace("\n", newLine, StringComparison.Ordinal);
        await ImportAsync(id, list);
        var entrant = (await hall.Desk.ListAsync($"/api/competitions/{id}/entrants")).Single();
        Assert.Equal("Harbour Blades", entrant["club"]!.GetValue<string>());
        Assert.Equal(12, entrant["ranking"]!.GetValue<int>());
    }

    [Fact]
    public async Task A_field_in_quotation_marks_may_hold_commas_and_quotation_marks()
    {
        var id = await CompetitionAsync();
        await ImportAsync(id, Header + "\"Aubert, the elder\",\"Maïa \"\"Mi\"\"\",\"Harbour; Blades\",,,,\n");
        var entrant = (await hall.Desk.ListAsync($"/api/competitions/{id}/entrants")).Single();
        Assert.Equal("Aubert, the elder", entrant["familyName"]!.GetValue<string>());
        Assert.Equal("Maïa \"Mi\"", entrant["givenName"]!.GetValue<string>());
        Assert.Equal("Harbour; Blades", entrant["club"]!.GetValue<string>());
    }

    [Fact]
    public async Task Lines_are_counted_as_in_the_file_whatever_stands_between_them()
    {
        var id = await CompetitionAsync();
        // Line 3 is empty; the row of line 4 goes on to line 5.
        const string List = Header + "Aubert,Maïa,,,x,,\n\nBerg,Nils,\"Two\nlines\",,,,\nCosta,Rui,,,y,,\n";
        foreach (var newLine in new[] { "\n", "\r\n" })
        {
            var problem = await RefusedAsync(id, List.Replace("\n", newLine, StringComparison.Ordinal), "rows-rejected");
            Assert.Equal([(2, "ranking"), (4, "club"), (6, "ranking")], Rows(problem));
        }
    }

    [Theory]
    [InlineData("Aubert,\"Maïa,,,,,\nBerg,Nils,,,,,\nCosta,Rui,,,,,\n", "Aubert,\"Maïa")]
    [InlineData("Aubert,Maïa,,,,,\n\"Berg,Nils,,,,,\nCosta,Rui,,,,,\n", "\"Berg,Nils")]
    [InlineData("Aubert,Maïa,,,,,\nBerg,Nils,,,,,\n\"Costa,Rui,,,,,", "\"Costa,Rui")]
    [InlineData("Aubert,Maïa,The 5\" Blades,,,,\n", "The 5\"")]
    public async Task A_quotation_mark_that_is_not_closed_is_refused_with_the_row_that_it_stands_in(string rows, string row)
    {
        var id = await CompetitionAsync();
        var detail = (await RefusedAsync(id, Header + rows, "unreadable-file"))["detail"]!.GetValue<string>();
        Assert.Contains("quotation mark", detail, StringComparison.Ordinal);
        Assert.Contains(row, detail, StringComparison.Ordinal);
        var longer = string.Concat(Enumerable.Range(0, 500).Select(i => $"Fencer{i},Robin,,,,,\n"));
        Assert.Contains("quotation mark", (await RefusedAsync(id, Header + rows + longer, "unreadable-file"))["detail"]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Empty(await FamilyNamesAsync(id));
    }

    [Fact]
    public async Task A_row_with_more_fields_than_the_header_is_told_instead_of_taken_in_the_wrong_columns()
    {
        var id = await CompetitionAsync();
        var problem = await RefusedAsync(id, Header + "Aubert,Maïa,Harbour, Blades,FRA,12,left,2004\n", "rows-rejected");
        Assert.All(Rows(problem), row => Assert.Equal(2, row.Line));
        // Empty fields at the end are what spreadsheets leave there.
        Assert.Equal(1, (await ImportAsync(id, Header + "Aubert,Maïa,Harbour,FRA,12,left,2004,,,\n"))["added"]!.GetValue<int>());
    }

    [Fact]
    public async Task Somebody_who_stands_twice_or_is_entered_already_is_told_by_line()
    {
        var id = await CompetitionAsync();
        await ImportAsync(id, Header + "Aubert,Maïa,Harbour,,,,2004\n");
        var problem = await RefusedAsync(
            id, Header + "AUBERT,maïa,harbour,,,,2004\nBerg,Nils,,,,,\nberg,NILS,,,,,\nAubert,Maïa,Harbour,,,,1990\nAubert,Maïa,Other,,,,\n", "rows-rejected");
        Assert.Equal([2, 4], Rows(problem).Select(r => r.Line));
        Assert.Single(await FamilyNamesAsync(id));
    }

    [Fact]
    public async Task Ten_thousand_rows_are_refused_and_a_thousand_are_taken_at_once()
    {
        var id = await CompetitionAsync();
        Assert.Contains("2000 rows", (await RefusedAsync(id, Situations.EntryList(10_000), "unreadable-file"))["detail"]!.GetValue<string>(), StringComparison.Ordinal);
        await RefusedAsync(id, Situations.EntryList(1025), "invalid-input");
        Assert.Empty(await FamilyNamesAsync(id));
        Assert.Equal(1024, (await ImportAsync(id, Situations.EntryList(1024)))["added"]!.GetValue<int>());
        Assert.Equal(1024, (await FamilyNamesAsync(id)).Count);
    }

    [Fact]
    public async Task Once_the_draw_is_made_no_list_is_taken_not_even_for_a_try()
    {
        foreach (var query in new[] { "", "?dryRun=true", "?partial=true" })
        {
            await RefusedAsync(hall.CompetitionId, Header + "Late,Robin,,,,,\n", "entries-closed", query, 409);
        }
    }

    [Fact]
    public async Task What_is_taken_away_can_be_brought_into_another_competition_and_is_harmless_in_a_spreadsheet()
    {
        var (from, to) = (await CompetitionAsync(), await CompetitionAsync());
        string[] names = ["=HYPERLINK(A1)", "+1", "-2+3", "@SUM(A1)", "'t Hooft", "'=quoted", "O'Neill, Jr", "\"Mi\"", "Łukasz", "-"];
        foreach (var name in names)
        {
            await hall.Desk.SendAsync(
                HttpMethod.Post,
                $"/api/competitions/{from}/entrants",
                new { familyName = name, givenName = "Robin", club = name, country = name, ranking = 3, hand = "left", birthYear = 2001 },
                HttpStatusCode.Created);
        }

        using var taken = await hall.Desk.TryAsync(HttpMethod.Get, $"/api/competitions/{from}/entrants", null, ("Accept", "text/csv"));
        Assert.Equal("text/csv", taken.Content.Headers.ContentType?.MediaType);
        Assert.Equal("utf-8", taken.Content.Headers.ContentType?.CharSet);
        var csv = await taken.Content.ReadAsStringAsync();
        Assert.StartsWith("id,familyName,givenName,club,country,ranking,hand,birthYear,status,reason,cause,equipmentPassed,equipmentFailed\r\n", csv, StringComparison.Ordinal);
        Assert.DoesNotContain("\n=", csv, StringComparison.Ordinal);
        foreach (var cell in csv.Split(["\r\n", ","], StringSplitOptions.None).Select(c => c.Trim('"')))
        {
            Assert.False(cell.Length > 0 && "=+-@".Contains(cell[0], StringComparison.Ordinal), $"A spreadsheet would run the cell {cell}.");
        }

        Assert.Equal(names.Length, (await ImportAsync(to, csv))["added"]!.GetValue<int>());
        var entrants = await hall.Desk.ListAsync($"/api/competitions/{to}/entrants");
        Assert.Equal(names, entrants.Select(e => e["familyName"]!.GetValue<string>()));
        Assert.Equal(names, entrants.Select(e => e["club"]!.GetValue<string>()));
        Assert.All(entrants, e => Assert.Equal((3, "left", 2001), (e["ranking"]!.GetValue<int>(), e["hand"]!.GetValue<string>(), e["birthYear"]!.GetValue<int>())));
    }

    [Fact]
    public async Task Every_list_in_CSV_has_a_row_an_item_and_numbers_and_times_as_in_JSON()
    {
        foreach (var list in hall.Document.Operations.Where(o => o.IsList))
        {
            var items = await hall.Desk.ListAsync(hall.At(list));
            using var response = await hall.Desk.TryAsync(HttpMethod.Get, hall.At(list), null, ("Accept", "text/csv"));
            using var csv = new CsvHelper.CsvReader(new StringReader(await response.Content.ReadAsStringAsync()), CultureInfo.InvariantCulture);
            csv.Read();
            csv.ReadHeader();
            Assert.Equal(items[0].AsObject().Select(f => f.Key), csv.HeaderRecord!);
            foreach (var item in items)
            {
                Assert.True(csv.Read());
                foreach (var (name, value) in item.AsObject())
                {
                    switch (value?.GetValueKind())
                    {
                        case null:
                            Assert.Equal(string.Empty, csv[name]);
                            break;
                        // A time of the day such as 09:00 stands as it is.
                        case System.Text.Json.JsonValueKind.String when value.GetValue<string>().Length > 5 && DateTimeOffset.TryParse(value.GetValue<string>(), CultureInfo.InvariantCulture, out var time):
                            Assert.Equal(time, DateTimeOffset.ParseExact(csv[name]!, ["O", "yyyy-MM-dd"], CultureInfo.InvariantCulture));
                            break;
                        case System.Text.Json.JsonValueKind.Object:
                            Assert.True(JsonNode.DeepEquals(value, JsonNode.Parse(csv[name]!)));
                            break;
                        case not System.Text.Json.JsonValueKind.Array:
                            Assert.Equal(value!.ToString(), csv[name]);
                            break;
                    }
                }
            }

            Assert.False(csv.Read());
        }
    }

    private static IEnumerable<(int Line, string Field)> Rows(JsonNode report) =>
        report["rows"]!.AsArray().Select(r => (r!["line"]!.GetValue<int>(), r["field"]!.GetValue<string>()));

    private static ByteArrayContent Csv(byte[] bytes)
    {
        var content = new ByteArrayContent(bytes);
        content.Headers.ContentType = MediaTypeHeaderValue.Parse("text/csv");
        return content;
    }

    private Task<string> CompetitionAsync() => hall.Desk.CompetitionAsync(0, tournamentId: hall.TournamentId);

    private Task<JsonNode> ImportAsync(string id, string list, string query = "", params (string, string)[] headers) =>
        hall.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants{query}", Csv(Encoding.UTF8.GetBytes(list)), HttpStatusCode.OK, headers);

    private Task<JsonNode> ImportAsync(string id, byte[] list) =>
        hall.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", Csv(list), HttpStatusCode.OK);

    private Task<JsonNode> RefusedAsync(string id, string list, string type, string query = "", int status = 400) =>
        hall.Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants{query}", Csv(Encoding.UTF8.GetBytes(list)), status, type);

    private Task<JsonNode> RefusedAsync(string id, byte[] list, string type) =>
        hall.Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", Csv(list), 400, type);

    private async Task<IReadOnlyList<string>> FamilyNamesAsync(string id) =>
        [.. (await hall.Desk.ListAsync($"/api/competitions/{id}/entrants")).Select(e => e["familyName"]!.GetValue<string>())];
}
