using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests;

public class PostgresForTestsTests
{
    [Fact]
    public async Task Each_fresh_database_is_empty_and_another_one_of_the_same_server()
    {
        var first = new NpgsqlConnectionStringBuilder(await PostgresForTests.FreshDatabaseAsync());
        var second = new NpgsqlConnectionStringBuilder(await PostgresForTests.FreshDatabaseAsync());
        Assert.Equal(first.Port, second.Port);
        Assert.NotEqual(first.Database, second.Database);
        await using var connection = new NpgsqlConnection(second.ConnectionString);
        await connection.OpenAsync();
        await using var tables = new NpgsqlCommand("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'", connection);
        Assert.Equal(0L, await tables.ExecuteScalarAsync());
    }
}
